import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { strToU8, zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { FormatError } from '#core';
import type { Workshop } from '#core';
import { serialiseWorkshop } from '#core/schema';
import { anyWorkshop } from '../../../tests/support/workshop-arbitrary.ts';
import { AT, ID, smallWorkshop } from '../store/store.contract.ts';
import { endingOf, isZip, packWorkshop, scansOf, unpackWorkshop } from './workshop-zip.ts';

const sha256 = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');
const scan = strToU8('II*\0 not much of a scan');
const sum = sha256(scan);

const withScan: Workshop = {
  ...smallWorkshop(),
  plates: [{ id: ID(3), name: 'WB-1', passes: [{ id: ID(4), at: AT, scan: { sha256: sum, fileName: 'WB-1.TIF', scannedFace: 'film', mirrored: false } }] }],
};
const document = strToU8(serialiseWorkshop(withScan));

async function refusal(files: Parameters<typeof zipSync>[0]): Promise<string> {
  const error = await unpackWorkshop(zipSync(files), sha256).catch((reason: unknown) => reason);
  expect(error).toBeInstanceOf(FormatError);
  return (error as FormatError).message;
}

describe('a workshop with its scans in one file', () => {
  it('comes back with every field and every byte', async () => {
    const packed = packWorkshop(withScan, [{ sha256: sum, ending: endingOf('WB-1.TIF'), bytes: scan }]);
    expect(isZip(packed)).toBe(true);
    const back = await unpackWorkshop(packed, sha256);
    expect(back).toEqual({ workshop: withScan, scans: [{ sha256: sum, ending: 'tif', bytes: scan }], notes: [] });
    expect(scansOf(withScan)).toEqual([{ sha256: sum, fileName: 'WB-1.TIF' }]);
  });

  it('gives back any workshop exactly', () =>
    fc.assert(
      fc.asyncProperty(anyWorkshop, async (workshop) => {
        expect((await unpackWorkshop(packWorkshop(workshop, []), sha256)).workshop).toEqual(workshop);
      }),
      { numRuns: 25 },
    ));

  it('leaves out what does not belong, and says so', async () => {
    const stranger = strToU8('another');
    const { scans, notes } = await unpackWorkshop(
      zipSync({
        'workshop.json': document,
        'readme.txt': strToU8('hello'),
        [`scans/${sha256(stranger)}.tif`]: stranger,
        [`scans/${sum}.tif`]: strToU8('other bytes'),
      }),
      sha256,
    );
    expect(scans).toEqual([]);
    expect(notes.join(' ')).toMatch(/readme\.txt” is neither.*belongs to no plate.*is not the scan its name says/);
  });
});

describe('a hostile zip is refused with a sentence', () => {
  it.each(['../workshop.json', '/etc/workshop.json', 'scans/../../x.tif', '..\\x', 'C:x.tif', 'scans\\x.tif', 'a\0b'])('that leads out by %j', async (name) => {
    expect(await refusal({ 'workshop.json': document, [name]: scan })).toMatch(/leads out of its folder: the whole file is refused/);
  });

  it('that swells: 32 MB of zeros, and a document beyond all bounds', async () => {
    const bomb = new Uint8Array(32 * 1024 * 1024);
    expect(await refusal({ 'workshop.json': document, [`scans/${sum}.tif`]: [bomb, { level: 1 }] })).toMatch(/32 MB packed into \d+ KB: nothing a workshop holds/);
    expect(await refusal({ 'workshop.json': [bomb.subarray(0, 20 * 1024 * 1024), { level: 1 }] })).toMatch(/20 MB packed into/);
  });

  it('that lies about its size: what comes out is no more than it said', async () => {
    const packed = zipSync({ 'workshop.json': [strToU8(' '.repeat(1_000_000)), { level: 9 }] });
    const view = new DataView(packed.buffer, packed.byteOffset, packed.byteLength);
    // The size when unpacked stands in the local head (22) and again in the central one (24), both little-endian.
    for (let at = 0; at + 4 < packed.length; at++) if (view.getUint32(at, true) === 1_000_000) view.setUint32(at, 10, true);
    await expect(unpackWorkshop(packed, sha256)).rejects.toThrow(FormatError);
  });

  it('with one name twice, without a workshop, cut off, or with a hostile document', async () => {
    const twice = zipSync({ 'workshop.json': document, 'workshop.jsoX': document });
    for (let at = 0; at < twice.length; at++) if (twice[at] === 0x58 && twice[at - 1] === 0x6f) twice[at] = 0x6e;
    await expect(unpackWorkshop(twice, sha256)).rejects.toThrow(/holds “workshop\.json” twice/);
    expect(await refusal({ 'other.json': document })).toMatch(/no workshop: it holds no workshop\.json/);
    const whole = zipSync({ 'workshop.json': document });
    await expect(unpackWorkshop(whole.subarray(0, whole.length - 30), sha256)).rejects.toThrow(/cut off or damaged/);
    expect(await refusal({ 'workshop.json': strToU8('['.repeat(100_000)) })).toMatch(/100000 levels deep/);
    expect(await refusal({ 'workshop.json': strToU8(serialiseWorkshop(withScan).replace('"future"', '"__proto__"')) })).toMatch(/__proto__/);
  });

  it('or takes any bytes at all, and never answers with anything else', () => {
    const whole = packWorkshop(withScan, [{ sha256: sum, ending: 'tif', bytes: scan }]);
    return fc.assert(
      fc.asyncProperty(fc.nat(whole.length - 1), fc.nat(255), fc.nat(whole.length), async (at, byte, end) => {
        const bytes = whole.slice(0, Math.max(at + 1, end));
        bytes[at] = byte;
        await unpackWorkshop(bytes, sha256).catch((error: unknown) => {
          expect(error).toBeInstanceOf(FormatError);
        });
      }),
      { numRuns: 400 },
    );
  });
});
