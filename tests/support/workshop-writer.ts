/**
 * A process to be killed: works on workshop files, all at once, and says of each every number that is safely on the
 * disk. Bundled and started by the test of the file store.
 */
import { openWorkshopFile } from '../../io/src/store/node.ts';

const paths = process.argv.slice(2);
if (paths.length === 0) throw new Error('which files?');
const stores = await Promise.all(paths.map((path) => openWorkshopFile(path)));
process.stdout.write('ready\n');
await Promise.all(
  stores.map(async (store, file) => {
    for (let next = Number(store.read().name) + 1; ; next++) {
      store.change('number', (draft) => void (draft.name = String(next)));
      await store.flush();
      process.stdout.write(`${file} ${next}\n`);
    }
  }),
);
