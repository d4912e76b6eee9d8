#!/usr/bin/env node
/** The committed door to the command line: says what to do when the build is missing. */
import { existsSync } from 'node:fs';

const main = new URL('../dist/cli/main.mjs', import.meta.url);
if (!existsSync(main)) {
  console.error('Camerawright is not built yet. Run: npm run setup');
  process.exit(2);
}
const { runCommandLine } = await import(main.href);
process.exitCode = await runCommandLine(process.argv.slice(2));
