/** Builds the command line (core, io and cli in one file) into dist/cli and the app into dist/app. */
import { cpSync, mkdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { build } from 'vite';
import { root } from './ensure.mjs';

rmSync(join(root, 'dist'), { recursive: true, force: true });

await build({
  configFile: false,
  root,
  logLevel: 'warn',
  publicDir: false,
  // Only wasm-vips stays outside: it loads its own wasm and worker files from its package.
  ssr: { noExternal: true, external: ['wasm-vips'] },
  build: {
    ssr: join(root, 'cli/src/main.ts'),
    outDir: join(root, 'dist/cli'),
    target: 'node20',
    minify: false,
    rollupOptions: { output: { entryFileNames: 'main.mjs', chunkFileNames: '[name].mjs' } },
  },
});

await build({ configFile: join(root, 'app/vite.config.ts'), logLevel: 'warn' });

// One copy of the demo serves the app (over http) and the command line (from disk).
mkdirSync(join(root, 'dist/app/demo'), { recursive: true });
cpSync(join(root, 'demo'), join(root, 'dist/app/demo'), { recursive: true, filter: (path) => !path.endsWith('.ts') });
