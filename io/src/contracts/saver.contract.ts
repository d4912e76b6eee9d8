import { expect, test } from 'vitest';
import type { Saver } from '../ports.ts';

/** A saver with a way to see what arrived. */
export interface SaverUnderTest {
  readonly saver: Saver;
  saved(fileName: string): Promise<Uint8Array | null>;
}

/** What every `Saver` promises. */
export function saverContract(make: () => Promise<SaverUnderTest>): void {
  test('the bytes arrive under their name, unchanged by what happens to them later', async () => {
    const { saver, saved } = await make();
    const bytes = Uint8Array.from({ length: 1000 }, (_, i) => i & 255);
    const copy = bytes.slice();
    await saver.save('box.workshop.json', 'application/json', bytes);
    bytes.fill(0);
    expect(await saved('box.workshop.json')).toEqual(copy);
  });
  test('an empty file is a file', async () => {
    const { saver, saved } = await make();
    await saver.save('empty.csv', 'text/csv', new Uint8Array());
    expect(await saved('empty.csv')).toHaveLength(0);
  });
}
