/** The photograph seen through the hole, and the whole page as everybody reads it. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { box, drawn, field, list, saved } from './picture-page.ts';
import { Stage, expectReadable } from './stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await Stage.raise();
});
afterAll(async () => {
  await stage.strike();
});

/** Grey at shares of the width and height of the shown picture. */
async function greyAt(page: Page, x: number, y: number): Promise<number> {
  return page.locator('.view canvas').evaluate((canvas, place) => {
    const { width, height } = canvas as HTMLCanvasElement;
    // a copy: reading back from the shown canvas would slow it down
    const pen = new OffscreenCanvas(8, 8).getContext('2d');
    pen?.drawImage(canvas as HTMLCanvasElement, 4 - Math.round(place.x * width), 4 - Math.round(place.y * height));
    const box = pen?.getImageData(0, 0, 8, 8).data ?? [];
    let sum = 0;
    for (let i = 0; i < box.length; i += 4) sum += Number(box[i]);
    return sum / 64;
  }, { x, y });
}

/** Drops a picture: black on the left, white on the right, drawn by the page itself. */
async function dropHalves(page: Page): Promise<void> {
  const transfer = await page.evaluateHandle(async () => {
    const canvas = document.createElement('canvas');
    canvas.width = 400;
    canvas.height = 400;
    const pen = canvas.getContext('2d');
    if (pen !== null) {
      pen.fillRect(0, 0, 400, 400);
      pen.fillStyle = '#fff';
      pen.fillRect(200, 0, 200, 400);
    }
    const blob = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve));
    const data = new DataTransfer();
    if (blob !== null) data.items.add(new File([blob], 'halves.png', { type: 'image/png' }));
    return data;
  });
  for (const type of ['dragenter', 'dragover', 'drop']) await page.dispatchEvent('main', type, { dataTransfer: transfer });
}

describe('the photograph', () => {
  it('has a first look, stops when asked, is then drawn at full size; the swipe moves by keyboard; a negative turns it round', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await box(page);
    await list(page, 'This hole').selectOption('typed');
    await field(page, 'Its diameter').fill('1.2');
    await drawn(page, /First look|full size/);
    const swipe = page.getByRole('slider', { name: 'Line between the two holes' });
    expect(await swipe.getAttribute('aria-valuetext')).toBe('50 % this hole');
    await page.getByRole('button', { name: 'Stop drawing' }).click();
    await drawn(page, 'Stopped: this is the first look');
    await page.getByRole('button', { name: 'Draw at full size' }).click();
    await drawn(page, 'Drawn at full size');
    const halves = await page.locator('.view canvas').evaluate((canvas) => (canvas as HTMLCanvasElement).toDataURL());
    for (let i = 0; i < 5; i++) await swipe.press('PageUp');
    expect(await swipe.getAttribute('aria-valuetext')).toBe('100 % this hole');
    expect(await page.locator('.view canvas').evaluate((canvas) => (canvas as HTMLCanvasElement).toDataURL())).not.toBe(halves);
    const sky = await greyAt(page, 0.5, 0.04);
    await list(page, 'Shown as').selectOption('negative');
    await expect.poll(() => greyAt(page, 0.5, 0.04)).toBeCloseTo(255 - sky, -1);

    // A film bent to a cylinder is drawn anew by itself; and is saved in 16 bits.
    await list(page, 'Film lies').selectOption('cylinder');
    await drawn(page, /First look|Drawing/);
    await page.getByRole('button', { name: 'Stop drawing' }).click();
    const tiff = await saved(page, /picture as TIFF of 16 bits, this hole, large/);
    expect(tiff.download.suggestedFilename()).toMatch(/16-bit\.tif$/);
    expect(tiff.bytes.subarray(0, 4)).toEqual(Buffer.from([0x49, 0x49, 42, 0]));
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('may be the maker’s own, dropped, with the angle it covers; what is none is refused with a sentence', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await box(page);
    await drawn(page, /First look|full size/);
    await page.getByLabel('Photograph to draw').setInputFiles({ name: 'notes.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('not one') });
    await page.getByRole('alert').filter({ hasText: 'notes.jpg is no photograph this browser can read' }).waitFor();
    await dropHalves(page);
    await page.getByText('Drawn: halves.png').waitFor();
    await field(page, 'It covers, left to right').fill('20°');
    // 2 · 106 mm · tan 10° = 37.4 mm squared, of 120 × 95 mm or so
    await page.getByText(/The photograph fills 1[0-4] % of the frame/).waitFor();
    await field(page, 'It covers, left to right').fill('100');
    await page.getByText(/The photograph fills/).waitFor({ state: 'detached' });
    await drawn(page, /First look|full size/);
    await expect.poll(() => greyAt(page, 0.8, 0.5), { timeout: 20_000 }).toBeGreaterThan(90);
    expect(await greyAt(page, 0.2, 0.5)).toBeLessThan(40);
    const png = await saved(page, /picture as PNG as shown/);
    expect(png.bytes.subarray(1, 4).toString()).toBe('PNG');
    await page.getByRole('button', { name: 'Back to the garden' }).click();
    await page.getByText('Drawn: the walled garden').waitFor();
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('everybody', () => {
  it('reads the page at every size and at 200 %: nothing axe would object to; a detail is moved by keyboard on its map', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await box(page);
    await drawn(page, /First look|full size/);
    // The reader’s tools need the machine now.
    await page.getByRole('button', { name: 'Stop drawing' }).click();
    await page.getByRole('slider', { name: 'Read the point image, linear' }).waitFor();
    await page.getByRole('radio', { name: '8×' }).check();
    const map = page.getByRole('slider', { name: 'Detail shown' });
    await map.press('PageUp');
    expect(await map.getAttribute('aria-valuetext')).toBe('70 % from the left, 30 % from the top');
    await page.getByRole('radio', { name: 'side by side' }).check();
    await page.getByRole('slider', { name: 'Line between the two holes' }).waitFor({ state: 'detached' });

    await page.getByRole('radio', { name: 'swipe' }).check();
    await page.getByRole('radio', { name: '2×' }).check();
    await expectReadable(page, {
      also: async (widthPx) => {
        const small = await page.evaluate(() =>
          [...document.querySelectorAll<HTMLElement>('main button, main select, main input[type=text], main label:has(input)')]
            .filter((element) => element.offsetParent !== null && element.closest('p.facts') === null && element.getBoundingClientRect().height < 44)
            .map((element) => element.outerHTML.slice(0, 80)));
        expect(small, `${widthPx} px`).toEqual([]);
      },
    });
    expect(complaints).toEqual([]);
    await context.close();
  });
});
