/** Each `@source key` in the core stands in docs/SOURCES.md, and each source there is used somewhere. */
import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { join, relative } from 'node:path';
import { root } from './ensure.mjs';

const listFile = join(root, 'docs/SOURCES.md');
const known = new Set(
  [...(existsSync(listFile) ? readFileSync(listFile, 'utf8') : '').matchAll(/^\s*(?:[-*]\s+)?`([a-z0-9-]+)`\s*:/gm)].map((m) => m[1]),
);
const used = new Map();
for (const folder of ['core/src', 'io/src', 'app/src', 'cli/src', 'reference', 'tools', 'bench']) {
  const base = join(root, folder);
  if (!existsSync(base)) continue;
  for (const name of readdirSync(base, { recursive: true }).map(String)) {
    if (!/\.(ts|svelte|json|md|mjs)$/.test(name)) continue;
    const path = join(base, name);
    if (name === 'check-sources.mjs') continue;
    const text = readFileSync(path, 'utf8');
    for (const match of text.matchAll(/@source\s+([a-z0-9-]+)/g)) used.set(match[1], relative(root, path));
    for (const key of known) if (text.includes(`'${key}'`) || text.includes(`"${key}"`) || text.includes(`\`${key}\``)) used.set(key, relative(root, path));
  }
}
const missing = [...used].filter(([key]) => !known.has(key));
const idle = [...known].filter((key) => !used.has(key));
for (const [key, path] of missing) console.error(`${path}: source "${key}" does not stand in docs/SOURCES.md`);
for (const key of idle) console.error(`docs/SOURCES.md: source "${key}" is used nowhere; remove it`);
if (missing.length + idle.length > 0) process.exit(1);
console.log(`sources: ${known.size} keys, all used and all known`);
