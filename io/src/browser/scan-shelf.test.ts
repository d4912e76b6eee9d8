import 'fake-indexeddb/auto';
import { describe, expect, it, vi } from 'vitest';
import { openScanShelf } from './scan-shelf.ts';
import type { HolePicture } from './scan-shelf.ts';

function picture(value: number): HolePicture {
  return {
    xMmPerPx: 0.0053,
    yMmPerPx: 0.0053,
    picture: {
      window: { columnPx: 1, rowPx: 2, widthPx: 2, heightPx: 2 },
      shrink: 1,
      picture: { widthPx: 2, heightPx: 2, channels: 1, samples: new Uint8Array(4).fill(value), fullScale: 255 },
    },
  };
}

describe('scan shelf', () => {
  it('gives back what was kept, also to a shelf opened later', async () => {
    await openScanShelf({ databaseName: 'a' }).keepPicture('pass', picture(7));
    const again = openScanShelf({ databaseName: 'a' });
    expect(await again.picture('pass')).toEqual(picture(7));
    expect(await again.picture('other')).toBeNull();
  });

  it('lets the oldest scans go when room runs short, and keeps no scan that is too large', async () => {
    const shelf = openScanShelf({ databaseName: 'b', largestScanBytes: 10 });
    for (let i = 0; i < 6; i++) await shelf.keepScan(`scan ${i}`, new Blob([new Uint8Array(9)]));
    await shelf.keepScan('huge', new Blob([new Uint8Array(11)]));
    const there = await Promise.all([0, 1, 2, 3, 4, 5].map((i) => shelf.scan(`scan ${i}`)));
    expect(there.map((scan) => scan !== null)).toEqual([false, false, true, true, true, true]);
    expect(await shelf.scan('huge')).toBeNull();
  });

  it('tells what lies here, and lets go of it one by one', async () => {
    const shelf = openScanShelf({ databaseName: 'd' });
    await shelf.keepScan('one', new Blob([new Uint8Array(9)]));
    await shelf.keepScan('two', new Blob([new Uint8Array(5)]));
    await shelf.keepPicture('pass', picture(7));
    expect(await shelf.list()).toEqual({
      scans: [{ key: 'one', byteCount: 9 }, { key: 'two', byteCount: 5 }],
      pictures: [{ key: 'pass', byteCount: 4 }],
    });
    await shelf.removeScan('one');
    await shelf.removePicture('pass');
    expect(await shelf.list()).toEqual({ scans: [{ key: 'two', byteCount: 5 }], pictures: [] });
  });

  it('is merely empty where the browser gives no storage', async () => {
    const failing = vi.spyOn(indexedDB, 'open').mockImplementation(() => {
      throw new DOMException('not here', 'SecurityError');
    });
    const shelf = openScanShelf({ databaseName: 'c' });
    await shelf.keepPicture('pass', picture(1));
    expect(await shelf.picture('pass')).toBeNull();
    failing.mockRestore();
  });
});
