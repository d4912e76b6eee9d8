import fc from 'fast-check';
import { afterEach, expect, test, vi } from 'vitest';
import { sha256Hex as nodeSha256Hex } from '../node/image-source.ts';
import { sha256Hex } from './sha256.ts';

afterEach(() => vi.unstubAllGlobals());

// FIPS 180-4, example of the standard: "abc"
const ABC = 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad';

test('by the browser and by ourselves, the example of the standard', async () => {
  const abc = new TextEncoder().encode('abc');
  expect(await sha256Hex(abc)).toBe(ABC);
  vi.stubGlobal('crypto', {});
  expect(await sha256Hex(abc)).toBe(ABC);
});

test('where the browser gives no access, the same as Node for any bytes', async () => {
  vi.stubGlobal('crypto', undefined);
  await fc.assert(
    fc.asyncProperty(fc.uint8Array({ maxLength: 300 }), async (bytes) => {
      expect(await sha256Hex(bytes)).toBe(nodeSha256Hex(bytes));
    }),
    { numRuns: 60 },
  );
});
