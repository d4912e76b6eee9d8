import sharp from 'sharp';
import { describe, expect, test } from 'vitest';
import type { ToneCurve } from '#core';
import { writeTiff } from '../decoding/tiff-writer.ts';
import { nodeInflate } from '../node/image-source.ts';
import { crc32 } from './crc32.ts';
import { readScanMetadata } from './index.ts';
import type { ScanMetadata } from './index.ts';
import {
  ascii,
  bareJpeg,
  chunk,
  curve,
  editorResources,
  exifBlock,
  grayProfile,
  jfif,
  joinPng,
  smallPng,
  u16,
  u32,
  withSegments,
} from './scan-writer.ts';

const read = (bytes: Uint8Array): Promise<ScanMetadata> => readScanMetadata(bytes, 'scan', nodeInflate);
const dpi = (metadata: ScanMetadata) =>
  metadata.scale &&
  [25.4 / metadata.scale.xMmPerPx, 25.4 / metadata.scale.yMmPerPx].map((v) => Math.round(v * 100) / 100);

const gray = {
  widthPx: 6,
  heightPx: 5,
  samples: Array.from({ length: 30 }, (_, i) => i * 8),
  channels: 1,
  bits: 8 as const,
};
const tiffDpi = (x: readonly [number, number], y: readonly [number, number], unit?: 1 | 2 | 3) =>
  writeTiff({ ...gray, resolution: unit === undefined ? { x, y } : { x, y, unit } });

const exif = (options: Parameters<typeof exifBlock>[0]) => ({
  marker: 0xe1,
  data: [...ascii('Exif\0\0'), ...exifBlock(options)],
});

const plainJpeg = bareJpeg(
  await sharp(Buffer.alloc(64 * 48, 90), { raw: { width: 64, height: 48, channels: 1 } })
    .toColourspace('b-w')
    .jpeg()
    .toBuffer(),
);

describe('resolution', () => {
  test('TIFF, inch', async () => {
    const metadata = await read(tiffDpi([4800, 1], [4800, 1], 2));
    expect(dpi(metadata)).toEqual([4800, 4800]);
    expect(metadata.scale).toMatchObject({ source: 'file', detail: 'TIFF tags 282/283, inch' });
    expect(metadata.scaleNote).toBe('4800 px per inch, from TIFF tags 282/283, inch.');
  });
  test('TIFF, centimetre', async () =>
    expect(dpi(await read(tiffDpi([3779, 2], [3779, 2], 3)))).toEqual([4799.33, 4799.33]));
  test('TIFF without a unit tag means inch', async () =>
    expect(dpi(await read(tiffDpi([1200, 1], [1200, 1])))).toEqual([1200, 1200]));
  test('x and y stay apart', async () => {
    const metadata = await read(tiffDpi([2400, 1], [1800, 1], 2));
    expect(dpi(metadata)).toEqual([2400, 1800]);
    expect(metadata.scaleNote).toContain('2400 px per inch across and 1800 down');
  });

  const none: [string, Uint8Array, string][] = [
    ['TIFF with unit 1', tiffDpi([4800, 1], [4800, 1], 1), 'tag 296 says none'],
    ['TIFF without tags', writeTiff(gray), 'are absent'],
    ['TIFF 72', tiffDpi([72, 1], [72, 1], 2), '72 per inch'],
    ['TIFF 96', tiffDpi([96, 1], [96, 1], 2), '96 per inch'],
    ["TIFF with a library's 1 px per mm", tiffDpi([10, 1], [10, 1], 3), '25.4 per inch'],
    ['TIFF 1/1', tiffDpi([1, 1], [1, 1], 2), '1 per inch'],
    ['TIFF 0/0', tiffDpi([0, 0], [0, 0], 2), 'absent or incomplete'],
    ['TIFF 4800/0', tiffDpi([4800, 0], [4800, 0], 2), 'is not a number'],
    ['TIFF 20', tiffDpi([20, 1], [20, 1], 2), 'cannot be true'],
    ['PNG without pHYs', smallPng(), 'no PNG pHYs'],
    ['PNG with unit 0', smallPng([chunk('pHYs', [...u32(4800, 4800), 0])]), 'has no unit'],
    ['PNG 72', smallPng([chunk('pHYs', [...u32(2835, 2835), 1])]), '72.01 per inch'],
    ['PNG 96', smallPng([chunk('pHYs', [...u32(3780, 3780), 1])]), '96.01 per inch'],
    ['JPEG without any', plainJpeg, 'no JFIF density'],
    ['JPEG with unit 0', withSegments(plainJpeg, [jfif(0, 1, 9000)]), 'has no unit'],
    ['JPEG 72', withSegments(plainJpeg, [jfif(1, 72, 72)]), '72 per inch'],
    ['JPEG with EXIF 72 only', withSegments(plainJpeg, [exif({ x: 72, y: 72, unit: 2 })]), '72 per inch'],
  ];
  test.each(none)('%s: none, and the remedy is said', async (_, bytes, why) => {
    const { scale, scaleNote } = await read(bytes);
    expect(scale).toBeNull();
    expect(scaleNote).toContain(why);
    expect(scaleNote).toContain("Type the scanner's resolution, or scan a steel rule beside the plate.");
  });

  test('PNG pHYs', async () => {
    const metadata = await read(smallPng([chunk('pHYs', [...u32(188976, 188976), 1])]));
    // 188976 px/m = 4799.99 per inch: the format counts whole pixels per metre
    expect(dpi(metadata)).toEqual([4799.99, 4799.99]);
  });
  test('JFIF density per inch and per centimetre', async () => {
    expect(dpi(await read(withSegments(plainJpeg, [jfif(1, 6400, 6400)])))).toEqual([6400, 6400]);
    expect(dpi(await read(withSegments(plainJpeg, [jfif(2, 1000, 500)])))).toEqual([2540, 1270]);
  });
  test('EXIF where JFIF says nothing, and a warning where they differ', async () => {
    const square = (x: number) => exif({ x, y: x, unit: 2 });
    const alone = await read(withSegments(plainJpeg, [square(3200)]));
    expect(dpi(alone)).toEqual([3200, 3200]);
    expect(alone.scale?.detail).toBe('EXIF tags 282/283, inch');
    const agreeing = await read(withSegments(plainJpeg, [jfif(1, 3200, 3200), square(3200)]));
    expect(agreeing.warnings).toEqual([]);
    const differing = await read(withSegments(plainJpeg, [jfif(1, 4800, 4800), square(3200)]));
    expect(dpi(differing)).toEqual([4800, 4800]);
    expect(differing.warnings[0]).toContain(
      'two resolutions: 4800 px per inch (JFIF density, inch, used here) and 3200',
    );
    const reset = await read(withSegments(plainJpeg, [jfif(1, 72, 72), square(3200)]));
    expect(dpi(reset)).toEqual([3200, 3200]);
    expect(reset.warnings[0]).toContain('If the picture was resized');
    const unknown = await read(withSegments(plainJpeg, [jfif(1, 4800, 4800), square(72)]));
    expect(unknown.warnings).toEqual([]);
  });
  test('a second resolution kept by an image editor is compared', async () => {
    const file = (second: number) =>
      writeTiff({
        ...gray,
        resolution: { x: [4800, 1], y: [4800, 1], unit: 2 },
        extra: [{ tag: 34377, type: 7, values: editorResources(second, second) }],
      });
    expect((await read(file(4800))).warnings).toEqual([]);
    const { scale, warnings } = await read(file(300));
    expect(25.4 / scale!.xMmPerPx).toBeCloseTo(4800, 9);
    expect(warnings[0]).toContain('300 px per inch (a second resolution kept by an image editor)');
    const inJpeg = withSegments(plainJpeg, [
      jfif(1, 4800, 4800),
      { marker: 0xed, data: [...ascii('An editor\0'), ...editorResources(600, 600)] },
    ]);
    expect((await read(inJpeg)).warnings).toHaveLength(1);
  });
});

describe('tone curve', () => {
  const srgbLight = (v: number) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
  const table = (f: (v: number) => number, length: number) => Array.from({ length }, (_, i) => f(i / (length - 1)));
  const inTiff = (profile: Uint8Array) =>
    writeTiff({ ...gray, extra: [{ tag: 34675, type: 7, values: [...profile] }] });
  const transfer = (f: (v: number) => number, length: number) => {
    const values = table(f, length).map((v) => Math.round(v * 65535));
    return writeTiff({ ...gray, extra: [{ tag: 301, type: 3, values }] });
  };
  const srgbFormula = curve.parametric(3, 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045);
  const bent = (v: number) => (v < 0.5 ? v / 4 : 1.75 * v - 0.75);
  const srgb: ToneCurve = { kind: 'srgb' };
  const linear: ToneCurve = { kind: 'linear' };
  const gamma = (g: number): ToneCurve => ({ kind: 'gamma', gamma: g });

  const stated: [string, Uint8Array, ToneCurve | null][] = [
    ['TIFF without a profile', writeTiff(gray), null],
    ['profile: linear', inTiff(grayProfile(curve.linear)), linear],
    ['profile: gamma 1', inTiff(grayProfile(curve.gamma(1))), linear],
    ['profile: gamma 2.2', inTiff(grayProfile(curve.gamma(2.2))), gamma(2.199)],
    ['profile: gamma 1.8', inTiff(grayProfile(curve.gamma(1.8))), gamma(1.801)],
    ['profile: sRGB table', inTiff(grayProfile(curve.table(table(srgbLight, 1024)))), srgb],
    ['profile: sRGB formula', inTiff(grayProfile(srgbFormula)), srgb],
    ['profile: gamma formula', inTiff(grayProfile(curve.parametric(0, 2.2))), gamma(2.2)],
    ['profile: something else', inTiff(grayProfile(curve.table(table(bent, 256)))), null],
    ['profile: only a name', inTiff(grayProfile(null, 'sRGB by tables')), srgb],
    ['profile: only a name, linear', inTiff(grayProfile(null, 'Linear gray')), linear],
    ['profile: broken', inTiff(Uint8Array.from({ length: 140 }, (_, i) => i)), null],
    ['TIFF transfer function', transfer(srgbLight, 256), srgb],
    ['TIFF transfer function, linear', transfer((v) => v, 256), linear],
    ['TIFF transfer function, 16 bit', transfer((v) => v ** 2.2, 65536), gamma(2.2)],
    ['PNG without any', smallPng(), null],
    ['PNG sRGB', smallPng([chunk('sRGB', [0])]), srgb],
    ['PNG gAMA 1/2.2', smallPng([chunk('gAMA', u32(45455))]), gamma(2.2)],
    ['PNG gAMA 1', smallPng([chunk('gAMA', u32(100000))]), linear],
    ['PNG gAMA 0', smallPng([chunk('gAMA', u32(0))]), null],
    ['PNG sRGB beats gAMA', smallPng([chunk('gAMA', u32(45455)), chunk('sRGB', [0])]), srgb],
    ['PNG cICP linear', smallPng([chunk('cICP', [1, 8, 0, 1])]), linear],
    ['PNG eXIf sRGB', smallPng([chunk('eXIf', exifBlock({ colorSpace: 1 }))]), srgb],
    ['PNG broken iCCP', smallPng([chunk('iCCP', [...ascii('x\0'), 0, 1, 2, 3])]), null],
    ['JPEG without any', withSegments(plainJpeg, [jfif(1, 4800, 4800)]), null],
    ['JPEG EXIF sRGB', withSegments(plainJpeg, [exif({ colorSpace: 1 })]), srgb],
    ['JPEG EXIF uncalibrated', withSegments(plainJpeg, [exif({ colorSpace: 0xffff })]), null],
    [
      'JPEG profile in two parts, out of order',
      withSegments(plainJpeg, profileParts(grayProfile(curve.gamma(2.2)))),
      gamma(2.199),
    ],
  ];
  test.each(stated)('%s', async (_, bytes, expected) => {
    const { tone, toneNote } = await read(bytes);
    expect(tone).toEqual(expected);
    expect(toneNote).toMatch(/\.$/);
  });

  test("a library's own sRGB profile, in each format", async () => {
    const picture = () =>
      sharp(Buffer.alloc(300), { raw: { width: 10, height: 10, channels: 3 } }).withIccProfile('srgb');
    for (const bytes of [
      await picture().tiff({ compression: 'deflate' }).toBuffer(),
      await picture().png().toBuffer(),
      await picture().jpeg().toBuffer(),
    ]) {
      expect((await read(bytes)).tone).toEqual({ kind: 'srgb' });
    }
  });
});

function profileParts(profile: Uint8Array): { marker: number; data: number[] }[] {
  const parts = [profile.subarray(0, 100), profile.subarray(100)].map((part, i) => ({
    marker: 0xe2,
    data: [...ascii('ICC_PROFILE\0'), i + 1, 2, ...part],
  }));
  return parts.reverse();
}

describe('what is refused, and how', () => {
  const tiff = writeTiff({ ...gray, rowsPerStrip: 2 });
  const patched = (bytes: Uint8Array, change: (view: DataView) => void): Uint8Array => {
    const copy = bytes.slice();
    change(new DataView(copy.buffer));
    return copy;
  };
  const directoryAt = new DataView(tiff.buffer).getUint32(4, true);
  const entryAt = (tag: number): number => {
    const view = new DataView(tiff.buffer);
    for (let at = directoryAt + 2; ; at += 12) if (view.getUint16(at, true) === tag) return at;
  };
  const endOfDirectory = directoryAt + 2 + 12 * new DataView(tiff.buffer).getUint16(directoryAt, true);

  const set16 = (tag: number, value: number) => patched(tiff, (v) => v.setUint16(entryAt(tag) + 8, value, true));
  const set32 = (tag: number, value: number) => patched(tiff, (v) => v.setUint32(entryAt(tag) + 8, value, true));
  const circle = patched(tiff, (v) => v.setUint32(endOfDirectory, directoryAt, true));
  const manyEntries = patched(tiff, (v) => v.setUint16(directoryAt, 60000, true));
  const cmyk = writeTiff({ ...gray, samples: new Array<number>(120).fill(0), channels: 4, photometric: 5 });
  const floats = writeTiff({ ...gray, extra: [{ tag: 339, type: 3, values: [3] }] });
  const flipped = patched(smallPng(), (v) => v.setUint8(45, v.getUint8(45) ^ 1));
  const farStrip = patched(tiff, (v) => v.setUint32(v.getUint32(entryAt(273) + 8, true), 5000, true));
  const header = (width: number, height: number, bits: number) =>
    chunk('IHDR', [...u32(width, height), bits, 0, 0, 0, 0]);
  const absurdPng = joinPng([header(60000, 60000, 8), chunk('IDAT', [1]), chunk('IEND')]);
  const squeezed = joinPng([header(20000, 20000, 1), chunk('IDAT', new Uint8Array(40000)), chunk('IEND')]);
  const inFrame = (place: number, value: number) =>
    patched(plainJpeg, (v) => v.setUint8(frameAt(plainJpeg) + place, value));

  const cases: [string, Uint8Array, string, RegExp][] = [
    ['an empty file', new Uint8Array(), 'truncated', /is empty/],
    ['a text', Uint8Array.from(ascii('This is a shopping list.')), 'unsupported', /begins “This is a shopping list/],
    ['noise', Uint8Array.from([1, 2, 3, 200]), 'unsupported', /not a TIFF, PNG or JPEG/],
    ['TIFF: a header only', tiff.slice(0, 8), 'truncated', /ends too early/],
    ['TIFF: two bytes', tiff.slice(0, 2), 'truncated', /ends too early/],
    ['TIFF: a strip outside the file', farStrip, 'truncated', /cut short/],
    ['TIFF: directories in a circle', circle, 'damaged', /in a circle/],
    ['TIFF: absurd width', set32(256, 4e9), 'too-large', /4000000000 × 5 px/],
    ['TIFF: no height', set32(257, 0), 'damaged', /no picture/],
    ['TIFF: absurd number of entries', manyEntries, 'damaged', /60000 entries/],
    ['TIFF: too few strips', set16(278, 1), 'damaged', /should list 5 strips/],
    ['TIFF: 32 bit', set16(258, 32), 'unsupported', /32 bits per sample/],
    ['TIFF: CMYK', cmyk, 'unsupported', /CMYK/],
    ['TIFF: JPEG inside', set16(259, 7), 'unsupported', /by JPEG.*Save it again/],
    ['TIFF: floats', floats, 'unsupported', /floating-point/],
    ['PNG: cut', smallPng().slice(0, 50), 'truncated', /cut short/],
    ['PNG: without its end', smallPng().slice(0, -12), 'truncated', /cut short/],
    ['PNG: a flipped bit', flipped, 'damaged', /check sum of its part IDAT/],
    ['PNG: no data', joinPng([header(3, 2, 8), chunk('IEND')]), 'damaged', /no picture/],
    ['PNG: 3 bits', joinPng([header(3, 2, 3), chunk('IEND')]), 'damaged', /makes no sense/],
    ['PNG: absurd', absurdPng, 'too-large', /60000 × 60000/],
    ['PNG: squeezed into nothing', squeezed, 'too-large', /holds only 40 KB/],
    ['JPEG: cut', plainJpeg.slice(0, -30), 'truncated', /cut short/],
    ['JPEG: without its end', plainJpeg.slice(0, -2), 'truncated', /cut short/],
    ['JPEG: CMYK', inFrame(9, 4), 'unsupported', /CMYK/],
    ['JPEG: 12 bit', inFrame(4, 12), 'unsupported', /12 bits/],
    ['JPEG: lossless', inFrame(1, 0xc3), 'unsupported', /lossless/],
    ['JPEG: nothing between start and end', Uint8Array.from([0xff, 0xd8, 0xff, 0xd9]), 'damaged', /no picture/],
  ];
  test.each(cases)('%s', async (_, bytes, code, words) => {
    const message = expect.stringMatching(words) as string;
    await expect(read(bytes)).rejects.toMatchObject({ name: 'FormatError', code, message });
  });

  test('a thumbnail inside does not stand in for a missing end', async () => {
    const thumbnail = { marker: 0xe1, data: [...ascii('Exif\0\0'), ...plainJpeg] };
    const file = withSegments(plainJpeg, [thumbnail]);
    expect((await read(file)).stored.widthPx).toBe(64);
    await expect(read(file.slice(0, -40))).rejects.toMatchObject({ code: 'truncated' });
  });
});

function frameAt(jpeg: Uint8Array): number {
  for (let at = 2; ; at += 2 + jpeg[at + 2]! * 256 + jpeg[at + 3]!) if (jpeg[at + 1] === 0xc0) return at;
}

test('warnings of pages and rotation', async () => {
  const turned = await read(writeTiff({ ...gray, extra: [{ tag: 274, type: 3, values: [6] }] }));
  expect(turned.warnings).toEqual(['The file asks to be shown turned or mirrored; it is measured as it is stored.']);
  const two = sharp(Buffer.alloc(600), { raw: { width: 10, height: 20, channels: 3, pageHeight: 10 } });
  const pages = await read(await two.tiff({ compression: 'none' }).toBuffer());
  expect(pages.warnings).toEqual(['The file holds 2 pictures; the first one is measured.']);
});

test('CRC-32 of the check string of its definition', () => {
  expect(crc32(Uint8Array.from(ascii('123456789')))).toBe(0xcbf43926);
  expect(u16(0x1234)).toEqual([0x12, 0x34]);
});
