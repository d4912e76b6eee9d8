/** Runs a TypeScript file of the house in Node, with its inner imports: `node tools/run.mjs bench/plate.ts`. */
import { resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { runnerImport } from 'vite';
import { root } from './ensure.mjs';

const file = process.argv[2];
if (!file) {
  console.error('usage: node tools/run.mjs FILE.ts [arguments]');
  process.exit(2);
}
process.argv.splice(1, 2, resolve(root, file));
await runnerImport(pathToFileURL(resolve(root, file)).href, { root, configFile: false, logLevel: 'warn' });
