import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vite';

const { version } = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8')) as { version: string };
const here = fileURLToPath(new URL('.', import.meta.url));

/** The static build: one folder that can be served from anywhere, below any path. */
export default defineConfig({
  root: here,
  base: './',
  define: { __APP_VERSION__: JSON.stringify(version) },
  plugins: [svelte()],
  build: {
    outDir: fileURLToPath(new URL('../dist/app', import.meta.url)),
    emptyOutDir: true,
    target: 'es2022',
    // No inline script or data: address, so that a strict content policy holds.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
  worker: { format: 'es' },
  optimizeDeps: { exclude: ['wasm-vips'] },
  server: {
    headers: { 'Cross-Origin-Opener-Policy': 'same-origin', 'Cross-Origin-Embedder-Policy': 'require-corp' },
    fs: { allow: [fileURLToPath(new URL('..', import.meta.url))] },
  },
});
