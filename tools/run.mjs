/**
 * Runs a TypeScript file of the house in Node, bundled as the command line is, so that it also runs as fast:
 * `node tools/run.mjs bench/plate-speed.ts`.
 */
import { rmSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { build } from 'vite';
import { root } from './ensure.mjs';

const file = process.argv[2];
if (!file) {
  console.error('usage: node tools/run.mjs FILE.ts [arguments]');
  process.exit(2);
}
process.argv.splice(1, 2, resolve(root, file));
// Inside the house, so that packages are found; one for each run, so that runs do not meet.
const outDir = join(root, '.cache', `run-${process.pid}`);
await build({
  configFile: false,
  root,
  logLevel: 'error',
  publicDir: false,
  plugins: [
    {
      // Files beside a module are found where its source lies.
      name: 'own-place',
      transform: (code, id) =>
        id.includes('node_modules') || !code.includes('import.meta.url')
          ? null
          : code.replaceAll('import.meta.url', JSON.stringify(pathToFileURL(id).href)),
    },
  ],
  build: {
    ssr: resolve(root, file),
    outDir,
    target: 'node20',
    minify: false,
    rollupOptions: { output: { entryFileNames: 'run.mjs' } },
  },
});
process.on('exit', () => rmSync(outDir, { recursive: true, force: true }));
await import(pathToFileURL(join(outDir, 'run.mjs')).href);
