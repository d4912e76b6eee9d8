/** Writes the JSON Schema of the workshop file: `node tools/run.mjs docs/write-schema.ts`. */
import { writeFile } from 'node:fs/promises';
import { workshopJsonSchema } from '#core/schema';

await writeFile(new URL('workshop.schema.json', import.meta.url), `${JSON.stringify(workshopJsonSchema(), null, 2)}\n`);
