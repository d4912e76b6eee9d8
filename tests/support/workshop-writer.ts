/**
 * A process to be killed: works on a workshop file and says each number once it is safely on the disk.
 * Bundled and started by the test of the file store.
 */
import { openWorkshopFile } from '../../io/src/store/node.ts';

const path = process.argv[2];
if (path === undefined) throw new Error('which file?');
const store = await openWorkshopFile(path);
process.stdout.write('ready\n');
for (let next = Number(store.read().name) + 1; ; next++) {
  store.change('number', (draft) => void (draft.name = String(next)));
  await store.flush();
  process.stdout.write(`${next}\n`);
}
