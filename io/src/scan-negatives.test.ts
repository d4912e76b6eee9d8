/** Files that must be refused with a sentence, each by the code that its reference states. */
import { readFile } from 'node:fs/promises';
import { describe, expect, test } from 'vitest';
import { isCamerawrightError } from '#core';
import { browserImageSource } from './browser/image-source.ts';
import { nodeImageSource } from './node/image-source.ts';
import { directPlateRoom } from './plate-room.ts';
import negatives from '../../reference/plates/negatives/data.json' with { type: 'json' };

const folder = new URL('../../reference/plates/negatives/', import.meta.url);

async function outcome(source: ReturnType<typeof nodeImageSource>, file: string): Promise<unknown> {
  const bytes = Uint8Array.from(await readFile(new URL(file, folder)));
  return directPlateRoom(source)
    .measure(bytes, file, {})
    .then(
      ({ reading }) => reading,
      (error: unknown) => error,
    );
}

describe.each([
  { name: 'Node', source: nodeImageSource() },
  { name: 'browser, not isolated', source: browserImageSource({ startVips: null }) },
])('$name', ({ source }) => {
  test.each(negatives.files)('$file: $what', async ({ file, outcome: code }) => {
    const error = await outcome(source, file);
    expect(isCamerawrightError(error)).toBe(true);
    expect(error).toMatchObject({ code });
    // A sentence: begins large, ends with a full stop, names no part of the program.
    const { message } = error as Error;
    expect(message).toMatch(/^[\p{Lu}\w].*\.$/su);
    expect(message).not.toMatch(/undefined|NaN|null|Error|exception/i);
  });
});

test('none is forgotten', () => {
  expect(negatives.files).toHaveLength(13);
});
