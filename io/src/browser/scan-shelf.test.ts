import 'fake-indexeddb/auto';
import { describe, expect, it, vi } from 'vitest';
import { emptyWorkshop } from '#core';
import { openShelf } from '../store/browser.ts';
import { systemClock } from '../system-clock.ts';
import { notKeptSentence, openScanShelf } from './scan-shelf.ts';
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
    expect(await shelf.keepScan('huge', new Blob([new Uint8Array(11)]))).toBe('too large');
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

  it('says that a scan does not fit, keeps what lay here, and leaves the workshop as it is', async () => {
    const workshops = await openShelf({ clock: systemClock, databaseName: 'full workshops' });
    const store = await workshops.add(emptyWorkshop({ id: '0193a000-0000-7000-8000-000000000001', name: 'W', createdAt: '2026-01-02T03:04:05Z' }));
    await store.flush();
    const before = structuredClone(store.read());
    const shelf = openScanShelf({ databaseName: 'full' });
    expect(notKeptSentence('a.tif', await shelf.keepScan('a', new Blob(['a'])))).toBeNull();

    const put = IDBObjectStore.prototype.put;
    const failing = vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(function (this: IDBObjectStore, ...values) {
      if (this.name !== 'scans') return put.apply(this, values);
      throw new DOMException('full', 'QuotaExceededError');
    });
    const kept = await shelf.keepScan('b', new Blob(['b']));
    expect(notKeptSentence('b.tif', kept)).toBe(
      '“b.tif” is used but not kept here: this browser’s storage is full. Its name and all figures are in the workshop; keep the file itself.',
    );
    expect(store.read()).toEqual(before);
    store.change('notes', (draft) => void (draft.notes = 'written while the shelf was full'));
    await store.flush();
    expect(store.status).toEqual({ kind: 'saved' });
    // a disk that is full only as the transaction ends
    failing.mockImplementation(function (this: IDBObjectStore, ...values) {
      const request = put.apply(this, values);
      if (this.name === 'scans') request.addEventListener('success', () => this.transaction.abort());
      return request;
    });
    expect(await shelf.keepScan('c', new Blob(['c']))).not.toBe('kept');
    failing.mockRestore();

    expect((await shelf.list()).scans.map(({ key }) => key)).toEqual(['a']);
    expect(await shelf.keepScan('b', new Blob(['b']))).toBe('kept');
    await store.close();
    const again = await workshops.openLast();
    expect(again?.read()).toEqual({ ...before, notes: 'written while the shelf was full' });
    await again?.close();
    await workshops.close();
  });

  it('is merely empty where the browser gives no storage', async () => {
    const failing = vi.spyOn(indexedDB, 'open').mockImplementation(() => {
      throw new DOMException('not here', 'SecurityError');
    });
    const shelf = openScanShelf({ databaseName: 'c' });
    await shelf.keepPicture('pass', picture(1));
    expect(await shelf.picture('pass')).toBeNull();
    expect(notKeptSentence('a.tif', await shelf.keepScan('a', new Blob(['a'])))).toContain('gives no storage');
    failing.mockRestore();
  });
});
