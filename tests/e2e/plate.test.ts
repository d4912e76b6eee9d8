/** A maker at the scanner: from a file to a number, a word and a mounted plate. */
import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import type { Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Stage, expectReadable, newCamera } from './stage.ts';

const scans = fileURLToPath(new URL('../../demo/scans/', import.meta.url));

interface Truth {
  readonly file: string;
  readonly holes: readonly { readonly equivalentDiameterMm: number; readonly clearDiameterMm: number }[];
}

let stage: Stage;
let truth: readonly Truth[];
beforeAll(async () => {
  stage = await Stage.raise();
  truth = JSON.parse(await readFile(`${scans}truth.json`, 'utf8')) as Truth[];
});
afterAll(async () => {
  await stage.strike();
});

function trueDiameterMm(file: string): number {
  return truth.find((scan) => scan.file === file)?.holes[0]?.equivalentDiameterMm ?? NaN;
}

interface Dropped {
  readonly name: string;
  readonly bytes: Uint8Array;
}

async function scan(name: string): Promise<Dropped> {
  return { name, bytes: await readFile(`${scans}${name}`) };
}

/** The same PNG without the chunk that states its resolution. */
function withoutScale({ name, bytes }: Dropped): Dropped {
  const kept: Uint8Array[] = [bytes.subarray(0, 8)];
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  for (let at = 8; at < bytes.length; ) {
    const length = view.getUint32(at) + 12;
    if (new TextDecoder().decode(bytes.subarray(at + 4, at + 8)) !== 'pHYs') {
      kept.push(bytes.subarray(at, at + length));
    }
    at += length;
  }
  return { name: `noscale-${name}`, bytes: Buffer.concat(kept) };
}

/** Drops files in the middle of the page, as a hand would. */
async function drop(page: Page, files: readonly Dropped[]): Promise<void> {
  const carried = files.map(({ name, bytes }) => ({ name, base64: Buffer.from(bytes).toString('base64') }));
  const transfer = await page.evaluateHandle((all) => {
    const data = new DataTransfer();
    for (const { name, base64 } of all) {
      data.items.add(new File([Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0))], name));
    }
    return data;
  }, carried);
  await page.dispatchEvent('main', 'dragenter', { dataTransfer: transfer });
  await page.dispatchEvent('main', 'dragover', { dataTransfer: transfer });
  await page.dispatchEvent('main', 'drop', { dataTransfer: transfer });
}

/** The number of the answer, mm, once nothing is being read. */
async function answerMm(page: Page): Promise<number> {
  await page.locator('.answer .figure b').waitFor();
  await page.locator('.job').waitFor({ state: 'detached' });
  return Number.parseFloat(await page.locator('.answer .figure b').innerText());
}

const plates = (page: Page) => page.getByRole('region', { name: /^Plates/ });

/** Goes on by Tab until an element has the focus and keeps it. */
async function tabTo(page: Page, wanted: Locator, by: 'Tab' | 'Shift+Tab' = 'Tab'): Promise<void> {
  const there = (): Promise<boolean> => wanted.evaluate((element) => element === document.activeElement);
  for (let i = 0; i < 90; i++) {
    if (await there()) {
      // A room that was just entered may still take the focus to its beginning.
      await page.waitForTimeout(150);
      if (await there()) return;
    }
    await page.keyboard.press(by);
  }
  throw new Error(`${by} never came to it; the focus is on ${await page.evaluate(() => document.activeElement?.outerHTML)}`);
}

/** A camera with the focal length of the walnut box. */
async function cameraOf135(page: Page): Promise<void> {
  await page.goto(`${stage.address}camera`);
  await newCamera(page);
  await page.getByRole('combobox', { name: 'Format' }).selectOption({ label: '4×5 in sheet film' });
  await page.getByRole('textbox', { name: 'Hole to film', exact: true }).fill('135');
  await page.getByRole('link', { name: 'Plate', exact: true }).click();
}

describe('the first visit', () => {
  it('measures the demo’s scans, shows them arriving, and measures nothing again', async () => {
    const { page, context, complaints } = await stage.visit('plate', { demo: true });
    await page.getByRole('progressbar').waitFor();
    await expect.poll(() => plates(page).getByText('not measured').count(), { timeout: 120_000 }).toBe(0);
    await page.locator('.job').waitFor({ state: 'detached' });
    const list = (await plates(page).innerText()).replace(/\s+/g, ' ');
    expect(list).toMatch(/WB-1 0\.478 ± 0\.00\d good/);
    expect(list).toMatch(/WB-3 0\.5\d\d ± 0\.0\d+ large/);
    expect(list).toMatch(/PN-2 0\.29\d* ± 0\.00\d work on/);
    const answer = await page.locator('.answer').innerText();
    expect(answer).toContain('good for the Walnut half-plate by finest detail at 10 % contrast');

    await page.getByText('Saved on this device').waitFor();
    await page.reload();
    expect(await answerMm(page)).toBeCloseTo(0.478, 3);
    expect(await page.locator('.job').count()).toBe(0);
    // Also the pixels are there again, and the scan can be read in another way.
    await page.getByText('As scanned, seen from the film side', { exact: true }).waitFor();
    await page.getByRole('combobox', { name: 'Light' }).selectOption({ label: 'don’t know' });
    await page.getByText('read 2 times').waitFor();
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('measures them whichever room is open, and the exposure follows the mounted plate', async () => {
    const { page, context, complaints } = await stage.visit('exposure', { demo: ['WB-1', 'WB-2'] });
    await page.getByText('WB-1, as measured').waitFor();
    const hole = page.getByRole('region', { name: 'Hole' });
    expect(await hole.innerText()).toContain('f/282');
    const before = await page.locator('.answer .figure b').innerText();
    await page.getByRole('link', { name: 'Plate', exact: true }).click();
    await plates(page).getByRole('button', { name: /^WB-2 0\.44/ }).click();
    await page.getByRole('button', { name: 'Mount in the Walnut half-plate' }).click();
    await page.getByText('In the Walnut half-plate now.').waitFor();
    await page.getByRole('link', { name: 'Exposure' }).click();
    await hole.getByText('f/306').waitFor();
    expect(await page.locator('.answer .figure b').innerText()).not.toBe(before);
    await page.getByRole('button', { name: /^Undo mount the plate/ }).click();
    await hole.getByText('f/282').waitFor();
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('a scan', () => {
  it('of either kind of light, PNG or TIFF, dropped, is read to half a percent', async () => {
    const { page, context, complaints } = await stage.visit('plate');
    for (const name of ['wb-1.png', 'pn-1.tif', 'wb-3.png', 'pn-3.png']) {
      if (name !== 'wb-1.png') await page.getByRole('button', { name: 'New plate' }).click();
      await drop(page, [await scan(name)]);
      const mm = await answerMm(page);
      expect(Math.abs(mm / trueDiameterMm(name) - 1), name).toBeLessThan(0.005);
      expect(await page.locator('.answer .figure').innerText()).toMatch(/±\s*0\.0\d+/);
    }
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('that states no resolution asks for it over the picture, then measures', async () => {
    const { page, context, complaints } = await stage.visit('plate');
    await drop(page, [withoutScale(await scan('wb-1.png'))]);
    const field = page.getByRole('textbox', { name: 'Resolution' });
    await field.fill('47');
    await field.press('Enter');
    await page.getByText('a hole needs a scan between 100').waitFor();
    await field.fill('4800');
    await field.press('Enter');
    expect(Math.abs((await answerMm(page)) / trueDiameterMm('wb-1.png') - 1)).toBeLessThan(0.005);
    // Corrected afterwards, x and y apart: the area grows by the root of both.
    const again = page.getByRole('textbox', { name: 'Resolution' });
    await again.fill('4800 × 4752');
    await again.press('Enter');
    await page.getByText('read 2 times').waitFor();
    expect((await answerMm(page)) / trueDiameterMm('wb-1.png')).toBeCloseTo(Math.sqrt(4800 / 4752), 2);
    // The next scan without a scale is not passed off under the number of the one before.
    await drop(page, [withoutScale(await scan('wb-2.png'))]);
    await page.locator('.answer', { hasText: 'does not say its scale' }).waitFor();
    await page.locator('.answer .figure').waitFor({ state: 'detached' });
    await page.getByText('Until then its earlier reading stands').waitFor();
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('takes its scale from two ends of a known length, by keys alone', async () => {
    const { page, context, complaints } = await stage.visit('plate');
    await drop(page, [withoutScale(await scan('wb-1.png'))]);
    const picture = page.getByRole('application', { name: /^The whole scan/ });
    await picture.focus();
    // Enter takes the middle of the picture; the arrows move by steps of the screen.
    await page.keyboard.press('Enter');
    for (let i = 0; i < 3; i++) await page.keyboard.press('ArrowRight');
    await page.keyboard.press('Enter');
    await page.getByText('Both ends are set').waitFor();
    await page.getByRole('textbox', { name: 'Length between them' }).fill('0.4');
    await page.getByRole('button', { name: /^Measure with/ }).click();
    await answerMm(page);
    expect(await page.getByRole('region', { name: 'This scan' }).innerText()).toContain('two ends of 0.4 mm');
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('that is cut off says so and loses nothing', async () => {
    const { page, context } = await stage.visit('plate');
    await drop(page, [await scan('wb-2.png')]);
    const before = await answerMm(page);
    const whole = await scan('wb-1.png');
    await drop(page, [{ name: 'cut.png', bytes: whole.bytes.subarray(0, whole.bytes.length >> 1) }]);
    const alert = page.getByRole('alert');
    await alert.getByText('could not be used').waitFor();
    expect(await alert.innerText()).toMatch(/cut\.png[\s\S]*(again|once more)/);
    expect(await answerMm(page)).toBe(before);
    await drop(page, [{ name: 'notes.txt', bytes: new TextEncoder().encode('not a picture') }]);
    await alert.getByText('notes.txt').waitFor();
    expect(await answerMm(page)).toBe(before);
    await context.close();
  });

  it('can be stopped; several become a plate each', async () => {
    const { page, context, complaints } = await stage.visit('plate');
    await drop(page, await Promise.all(['wb-1.png', 'wb-2.png', 'wb-3.png', 'pn-2.png', 'pn-3.png'].map(scan)));
    await page.getByRole('button', { name: 'Stop' }).click();
    await page.locator('.job').waitFor({ state: 'detached' });
    expect(await plates(page).getByRole('listitem').count()).toBe(5);
    expect(await plates(page).getByText('not measured').count()).toBeGreaterThan(0);
    // The bench works on after a stop.
    await drop(page, [await scan('wb-1.png')]);
    expect(await answerMm(page)).toBeCloseTo(0.478, 2);
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('the picture of the hole', () => {
  it('is enlarged and moved by keys, and shows the side that is asked for', async () => {
    const { page, context, complaints } = await stage.visit('plate');
    await drop(page, [await scan('wb-2.png')]);
    await answerMm(page);
    const picture = page.getByRole('application', { name: /^The hole/ });
    const outline = () => page.locator('path.outline').getAttribute('d');
    const whole = await outline();
    await picture.focus();
    await page.keyboard.press('+');
    const near = await outline();
    expect(near).not.toBe(whole);
    await page.keyboard.press('ArrowLeft');
    expect(await outline()).not.toBe(near);
    await page.keyboard.press('0');
    expect(await outline()).toBe(whole);

    expect(await page.getByRole('region', { name: 'What to do next' }).innerText()).toContain('Burr at 2 o’clock');
    await page.getByRole('combobox', { name: 'Face on the glass' }).selectOption('scene');
    await page.getByText('As scanned, seen from the scene side', { exact: true }).waitFor();
    await page.getByRole('button', { name: 'From the film side' }).click();
    await page.getByText('Seen from the film side', { exact: true }).waitFor();
    expect(await page.getByRole('region', { name: 'What to do next' }).innerText()).toContain('Burr at 10 o’clock');
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('the maker’s own hand', () => {
  it('pushes the rim, keeps that as what it is, and combines scans of one state, by keys', async () => {
    const { page, context, complaints } = await stage.visit('plate');
    await drop(page, [await scan('wb-1.png')]);
    const before = await answerMm(page);
    await page.locator('summary', { hasText: 'By hand' }).press('Enter');
    const direction = page.getByRole('slider', { name: /^Direction/ });
    await direction.press('ArrowRight');
    await page.getByRole('slider', { name: /Width/ }).press('End');
    await direction.focus();
    for (let i = 0; i < 6; i++) await direction.press('Shift+ArrowUp');
    await expect.poll(() => answerMm(page)).toBeGreaterThan(before + 0.005);
    await page.getByRole('button', { name: 'As measured' }).press('Enter');
    await expect.poll(() => answerMm(page)).toBe(before);
    await page.getByRole('button', { name: 'Push out' }).press('Enter');
    await page.getByRole('button', { name: 'Keep as changed by hand' }).press('Enter');
    await plates(page).page().getByText('changed by hand', { exact: false }).first().waitFor();

    // The same scan under another name and bytes: nothing was done to the plate between.
    const again = await scan('wb-1.png');
    await drop(page, [{ name: 'turned.png', bytes: Buffer.concat([again.bytes, Buffer.from([0])]) }]);
    await page.getByRole('combobox', { name: 'Since the pass before' }).selectOption('same');
    await page.getByText(/Mean of 2 scans/).waitFor();
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('by keyboard alone', () => {
  it('goes from a file to a mounted plate and its exposure', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await cameraOf135(page);
    // Listened for early: the browser is told to hand the dialog over, which takes a moment.
    const choosing = page.waitForEvent('filechooser');
    const open = page.getByRole('button', { name: 'Open a scan' });
    await open.waitFor();
    await tabTo(page, open);
    await page.keyboard.press('Enter');
    await (await choosing).setFiles(`${scans}wb-1.png`);
    expect(await answerMm(page)).toBeCloseTo(0.478, 3);
    await tabTo(page, page.getByRole('button', { name: /^Mount in/ }));
    await page.keyboard.press('Enter');
    await page.getByText(/^In the .+ now\.$/).waitFor();
    await tabTo(page, page.getByRole('link', { name: 'Exposure' }), 'Shift+Tab');
    await page.keyboard.press('Enter');
    await page.getByRole('region', { name: 'Hole' }).getByText('f/282').waitFor();
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('without isolation', () => {
  it('measures PNG, TIFF and asks as ever, by the fallback decoders', async () => {
    const bare = await Stage.raise({ isolated: false });
    const { page, context, complaints } = await bare.visit('plate');
    expect(await page.evaluate(() => globalThis.crossOriginIsolated)).toBe(false);
    await drop(page, [await scan('wb-1.png')]);
    expect(Math.abs((await answerMm(page)) / trueDiameterMm('wb-1.png') - 1)).toBeLessThan(0.005);
    await page.getByRole('button', { name: 'New plate' }).click();
    await drop(page, [await scan('pn-1.tif')]);
    expect(Math.abs((await answerMm(page)) / trueDiameterMm('pn-1.tif') - 1)).toBeLessThan(0.005);
    expect(complaints).toEqual([]);
    await context.close();
    await bare.strike();
  });
});

describe('everybody', () => {
  it('reads the page at every size and at 200 %: nothing axe would object to, nothing sideways', async () => {
    const { page, context } = await stage.visit('plate');
    await drop(page, [await scan('pn-3.png')]);
    await answerMm(page);
    for (const summary of await page.locator('summary').all()) await summary.click();
    await expectReadable(page);
    await context.close();
  });
});
