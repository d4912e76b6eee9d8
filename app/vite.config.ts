import { createHash } from 'node:crypto';
import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vite';
import { VitePWA } from 'vite-plugin-pwa';

const { version } = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8')) as { version: string };
const here = fileURLToPath(new URL('.', import.meta.url));

/** Pictures that a room shows before the maker has any; the build copies them beside the app. */
function demoPictures(): { url: string; revision: string }[] {
  const folder = fileURLToPath(new URL('../demo/photographs', import.meta.url));
  const names = existsSync(folder) ? readdirSync(folder).filter((name) => /\.(jpe?g|png|webp)$/.test(name)) : [];
  return names.map((name) => ({
    url: `demo/photographs/${name}`,
    revision: createHash('md5').update(readFileSync(`${folder}/${name}`)).digest('hex'),
  }));
}

/** The static build: one folder that can be served from anywhere, below any path. */
export default defineConfig({
  root: here,
  base: './',
  define: { __APP_VERSION__: JSON.stringify(version) },
  plugins: [
    svelte(),
    VitePWA({
      strategies: 'injectManifest',
      srcDir: 'src/offline',
      filename: 'service-worker.ts',
      // The app registers it itself: the content policy allows no script in the page.
      injectRegister: false,
      manifest: {
        name: 'Camerawright',
        short_name: 'Camerawright',
        description: 'A workbench for people who build their own pinhole cameras.',
        start_url: './camera',
        scope: './',
        display: 'standalone',
        background_color: '#f4eee1',
        theme_color: '#f4eee1',
        icons: [
          { src: 'icon.svg', sizes: 'any', type: 'image/svg+xml', purpose: 'any' },
          { src: 'icon-192.png', sizes: '192x192', type: 'image/png', purpose: 'any' },
          { src: 'icon-512.png', sizes: '512x512', type: 'image/png', purpose: 'any' },
          { src: 'icon-maskable-512.png', sizes: '512x512', type: 'image/png', purpose: 'maskable' },
        ],
      },
      injectManifest: {
        globPatterns: ['**/*.{html,js,css,svg,png,woff2,wasm,webmanifest}'],
        // Copied in beside the app later and listed below by name.
        globIgnores: ['demo/**'],
        additionalManifestEntries: demoPictures(),
        maximumFileSizeToCacheInBytes: 32 * 1024 * 1024,
      },
    }),
  ],
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
