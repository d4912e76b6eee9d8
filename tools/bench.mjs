/**
 * `npm run bench [part of a name …]`: the promises, measured as ratios against a reference run side by side.
 * Times belong here and never into tests: machines differ, ratios less so.
 */
import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { ensureBuilt, ensureInstalled, root, run } from './ensure.mjs';

ensureInstalled();
ensureBuilt();
const wanted = process.argv.slice(2);
const benches = readdirSync(join(root, 'bench'))
  // Coverage runs by itself: `npm run coverage` measures thousands of scans.
  .filter((name) => name.endsWith('.ts') && !name.startsWith('coverage'))
  .filter((name) => wanted.length === 0 || wanted.some((part) => name.includes(part)))
  .sort();
let failed = 0;
for (const bench of benches) {
  console.log(`\n${bench}`);
  if (run(process.execPath, ['tools/run.mjs', join('bench', bench)]).code !== 0) failed += 1;
}
process.exit(failed === 0 ? 0 : 1);
