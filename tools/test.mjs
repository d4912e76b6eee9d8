/**
 * `npm test`: installs what is missing (also a chromium where none is found), builds, and runs everything:
 * types, lint, layer rules, units, sources, then unit, reference, property, command-line and end-to-end tests.
 * Ends with one line that counts it all: `N passed, N failed`.
 */
import { existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { ensureBuilt, ensureChromium, ensureInstalled, ensurePdfReaders, root, run, runBeside } from './ensure.mjs';

ensureInstalled();
const chromium = ensureChromium();
ensurePdfReaders();
ensureBuilt();

const bin = (name) => join(root, 'node_modules', '.bin', name);
// The longest first, so that none is left running alone at the end.
const checks = [
  ['lint', bin('eslint'), ['core', 'io', 'cli', 'app', 'tests', 'tools', 'bench', 'reference']],
  ['types: app', bin('svelte-check'), ['--tsconfig', 'app/tsconfig.json', '--fail-on-warnings']],
  ['types: tests', bin('tsc'), ['-p', 'tests/tsconfig.json']],
  ['types: cli', bin('tsc'), ['-p', 'cli/tsconfig.json']],
  ['types: io', bin('tsc'), ['-p', 'io/tsconfig.json']],
  ['types: core', bin('tsc'), ['-p', 'core/tsconfig.json']],
  ['layers', bin('depcruise'), ['core', 'io', 'app', 'cli', '--config', '.dependency-cruiser.cjs']],
  ['units', process.execPath, ['tools/check-units.mjs']],
  ['sources', process.execPath, ['tools/check-sources.mjs']],
  ['dead code', bin('knip'), ['--no-progress']],
];

let passed = 0;
let failed = 0;
const waiting = [...checks];
async function checkOneAfterAnother() {
  for (let next = waiting.shift(); next !== undefined; next = waiting.shift()) {
    const [name, command, args] = next;
    const { code, output } = await runBeside(command, args);
    console.log(`${code === 0 ? 'ok    ' : 'FAILED'}  ${name}`);
    if (code === 0) passed += 1;
    else {
      failed += 1;
      console.log(output.trim());
    }
  }
}
await Promise.all(Array.from({ length: Math.min(4, availableParallelism()) }, checkOneAfterAnother));

const report = join(root, 'test-results', 'vitest.json');
mkdirSync(join(root, 'test-results'), { recursive: true });
rmSync(report, { force: true });
const { code } = run(
  bin('vitest'),
  ['run', '--reporter=default', '--reporter=json', `--outputFile.json=${report}`, ...process.argv.slice(2)],
  { env: { CHROMIUM: chromium, CI: process.env.CI ?? '' } },
);

let skipped = 0;
if (existsSync(report)) {
  const result = JSON.parse(readFileSync(report, 'utf8'));
  passed += result.numPassedTests;
  failed += result.numFailedTests;
  skipped = result.numPendingTests + (result.numTodoTests ?? 0);
  // A file that could not even be loaded has no failed test of its own.
  if (code !== 0 && result.numFailedTests === 0) failed += Math.max(1, result.numFailedTestSuites ?? 0);
} else {
  failed += 1;
}
console.log(`\n${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ''}`);
process.exit(failed === 0 && code === 0 ? 0 : 1);
