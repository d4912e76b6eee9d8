import { readFile } from 'node:fs/promises';
import { describe, expect, it } from 'vitest';
import { workshopJsonSchema } from './json-schema.ts';

describe('the published schema', () => {
  it('is the one that checks the file (write it anew with: node tools/run.mjs docs/write-schema.ts)', async () => {
    const published = await readFile(new URL('../../../docs/workshop.schema.json', import.meta.url), 'utf8');
    expect(JSON.parse(published)).toEqual(workshopJsonSchema());
  });
});
