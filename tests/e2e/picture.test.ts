/** A maker before the picture is taken: what this hole will draw, what another would be worth, and all of it to take along. */
import { readFile } from 'node:fs/promises';
import AxeBuilder from '@axe-core/playwright';
import type { Download, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { bestHoleInLight, compareHoles, filmLight, filmResponse, oneWavelength, pictureInWords, roundOtf } from '#core';
import { Stage, answerWith, newCamera, sizes } from './stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await Stage.raise();
});
afterAll(async () => {
  await stage.strike();
});

const field = (page: Page, label: string) => page.getByRole('textbox', { name: label, exact: true });
const list = (page: Page, label: string) => page.getByRole('combobox', { name: label, exact: true });
/** Without a film in the camera. */
const light = oneWavelength(550);
const view = { focalLengthMm: 106, objectDistanceMm: Infinity, light, diameterMm: 0.43 };

/** A 4×5 box of 106 mm on the bench, then its Picture page. */
async function box(page: Page): Promise<void> {
  await newCamera(page);
  await list(page, 'Format').selectOption({ label: '4×5 in sheet film' });
  await field(page, 'Hole to film').fill('106');
  await page.getByRole('link', { name: 'Picture', exact: true }).click();
  await page.getByRole('heading', { name: 'Holes' }).waitFor();
}

/** 0.50 held against 0.43. */
async function twoHoles(page: Page): Promise<void> {
  await list(page, 'This hole').selectOption('typed');
  await field(page, 'Its diameter').fill('0.50');
  await list(page, 'Held against').selectOption('typed');
  await field(page, 'Its diameter').last().fill('0.43');
}

async function drawn(page: Page, state: string | RegExp): Promise<void> {
  await page.locator('.state').filter({ hasText: state }).waitFor({ timeout: 120_000 });
}

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

async function saved(page: Page, button: RegExp): Promise<{ readonly download: Download; readonly text: string; readonly bytes: Buffer }> {
  const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: button }).click()]);
  const bytes = await readFile(await download.path());
  return { download, bytes, text: bytes.toString('utf8') };
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

describe('the sentence', () => {
  it('says what is missing, and answers once frame and focal length are there', async () => {
    const { page, context, complaints } = await stage.visit('picture');
    await answerWith(page, 'No camera is on the bench yet');
    await page.getByRole('button', { name: 'New camera', exact: true }).click();
    await answerWith(page, 'the image area and the focal length of this camera are needed');
    await page.getByRole('button', { name: 'To the Camera page' }).click();
    await box(page);
    await answerWith(page, /^The best round hole .* tells bars/);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('tells what 0.50 in place of 0.43 costs and gains, as the core computes it', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await box(page);
    await twoHoles(page);
    const answer = await answerWith(page, '0.430 mm');
    const { detailFactor, lightStops } = compareHoles(view, 0.5);
    expect(answer).toContain(`${Number((100 * (1 - detailFactor)).toPrecision(2))} % less detail, ${lightStops.toFixed(2)} stops more light`);
    const { finestPerMm } = pictureInWords({ ...view, diameterMm: 0.5 }, 120);
    expect(answer).toContain(`${Number(finestPerMm.toPrecision(2))} lines per mm`);
    await page.getByRole('button', { name: 'In more words' }).click();
    await page.getByText('5 lines per mm in a print held at 25 cm').waitFor();
    await page.reload();
    expect(await answerWith(page, '0.430 mm')).toBe(answer);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('follows film and filter, and says when a film sees nothing through one', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await box(page);
    await page.getByText('Drawn in light of 550 nm').waitFor();
    const holes = await list(page, 'This hole').innerText();
    await list(page, 'Film or paper').selectOption('blue-paper');
    await expect.poll(() => list(page, 'This hole').innerText()).not.toBe(holes);
    await page.getByText('The Camera page reckons in light of 550 nm').waitFor();
    await list(page, 'Filter').selectOption('red');
    await page.getByRole('alert').filter({ hasText: 'sees nothing through' }).waitFor();
    await list(page, 'Filter').selectOption('none');
    const [chooser] = await Promise.all([
      page.waitForEvent('filechooser'),
      page.getByRole('button', { name: 'Give the film’s own curve' }).click(),
    ]);
    await chooser.setFiles({ name: 'narrow.csv', mimeType: 'text/csv', buffer: Buffer.from('nm,s\n640,0\n650,1\n660,0\n') });
    await page.locator('.facts').filter({ hasText: '650 nm' }).waitFor();
    expect(await list(page, 'Film or paper').inputValue()).toBe('own');
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('the film in the camera', () => {
  it('rules the best holes of the Camera page and of this one alike', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await newCamera(page);
    await list(page, 'Format').selectOption({ label: '4×5 in sheet film' });
    await field(page, 'Hole to film').fill('106');
    await answerWith(page, 'best hole 0.43 mm');
    await list(page, 'Film or paper in it').selectOption('list:HP5 Plus');
    const pan = filmLight({ source: 'daylight', response: filmResponse('panchromatic') });
    const best = bestHoleInLight({ light: pan, focalLengthMm: 106, objectDistanceMm: Infinity, criterion: 'detail-10' });
    await answerWith(page, `best hole ${best.diameterMm.toFixed(2)} mm`);
    const row = page.getByRole('radiogroup', { name: 'What best means' }).locator('label').filter({ hasText: 'finest detail at 10 % contrast' });
    expect(await row.innerText()).toContain(best.diameterMm.toFixed(3));
    await page.getByText('Reckoned in the daylight that HP5 Plus sees, about 508 nm').waitFor();
    await page.getByRole('link', { name: 'Picture', exact: true }).click();
    await answerWith(page, `the best round hole for finest detail at 10 % contrast (${best.diameterMm.toFixed(3)} mm)`);
    await page.getByText(`${best.diameterMm.toFixed(3)} mm, and ${best.bandMm[0].toFixed(3)} mm to ${best.bandMm[1].toFixed(3)} mm within 5 %`).waitFor();
    expect(await page.getByText('The Camera page reckons in').count()).toBe(0);
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('a measured hole', () => {
  it('is looked through as the plate in the camera, outline and all', async () => {
    const { page, context, complaints } = await stage.visit('picture', { demo: true });
    await answerWith(page, 'WB-1, pass 1 (0.478 mm)');
    await page.getByText(/^Half of the light falls within \d+ µm/).waitFor();
    await page.getByRole('button', { name: 'In more words' }).click();
    await page.getByText(/round hole of its area/).first().waitFor();
    await list(page, 'Held against').selectOption('same');
    await answerWith(page, 'a round hole of the same area (0.478 mm): the same detail, the same light');
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('the curves', () => {
  it('are read by keyboard, and read what the core says', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await box(page);
    await twoHoles(page);
    const reader = page.getByRole('slider', { name: 'Read the curves: cycles per mm on the film' });
    await reader.focus();
    await page.keyboard.press('Home');
    await page.keyboard.press('PageUp');
    await page.keyboard.press('PageUp');
    const at = Number(await reader.getAttribute('aria-valuenow'));
    const [own] = roundOtf({ ...view, diameterMm: 0.5 }, [at]);
    const said = /centre (\d+) %/.exec((await reader.getAttribute('aria-valuetext')) ?? '');
    // half a percent of rounding, and as much of reading between samples
    expect(Math.abs(Number(said?.[1]) - 100 * Number(own))).toBeLessThan(1);
    await expect.poll(() => page.getByRole('row', { name: /^centre/ }).innerText()).toContain(`${said?.[1]} %`);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('let the other hole be taken along the curve, and the sentence follows', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await box(page);
    await twoHoles(page);
    await answerWith(page, '(0.430 mm)');
    await page.getByRole('slider', { name: 'The other hole' }).press('ArrowRight');
    await answerWith(page, '(0.435 mm)');
    await list(page, 'Best for').selectOption('contrast');
    await page.getByText(/^Best for this aim/).waitFor();
    await field(page, 'Detail in the print').fill('25');
    await page.locator('.trouble').waitFor();
    await list(page, 'Best for').selectOption('even');
    await field(page, 'Detail in the print').fill('1');
    await page.getByText('corners and both directions of lines counted').waitFor();
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('can be taken along as SVG, PNG and CSV', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await box(page);
    const svg = await saved(page, /contrast curves as SVG/);
    expect(svg.download.suggestedFilename()).toMatch(/contrast\.svg$/);
    expect(svg.text).toContain('cycles per mm on the film');
    expect(svg.text).not.toMatch(/class=|role=|NaN|var\(/);
    const csv = await saved(page, /contrast curves as CSV/);
    const [head, first] = csv.text.split('\r\n');
    expect(head).toBe('cyclesPerMm,centre,edge-t,edge-s,corner-t,corner-s,other');
    expect(first).toBe('0,1,1,1,1,1,1');
    expect((await saved(page, /point image as SVG, log/)).text).toMatch(/<image[^>]*href="data:image\/png;base64,[\s\S]*µm on the film/);
    const merit = await saved(page, /curve of holes as PNG/);
    expect(merit.bytes.subarray(1, 4).toString()).toBe('PNG');
    expect((await saved(page, /curve of holes as CSV/)).text).toMatch(/^diameterMm,meritShare\r\n0\.\d+,/);
    await page.getByRole('slider', { name: 'Read the point image, linear' }).waitFor();
    const points = await saved(page, /point image as CSV/);
    expect(points.text.trim().split('\r\n').length).toBe(181 * 181 + 1);
    expect((await saved(page, /point image as PNG, log/)).bytes.subarray(1, 4).toString()).toBe('PNG');
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('show the point image at any place: by keyboard, brightest in the middle, stretched in the corner', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await box(page);
    const spot = page.getByRole('slider', { name: 'Read the point image, linear' });
    await spot.focus();
    expect(Number(await spot.getAttribute('aria-valuenow'))).toBeGreaterThan(0.99);
    for (let i = 0; i < 20; i++) await page.keyboard.press('ArrowRight');
    const right = Number(await spot.getAttribute('aria-valuenow'));
    expect(right).toBeLessThan(0.9);
    expect(await spot.getAttribute('aria-valuetext')).toMatch(/^\d+ µm right, 0 µm up: 0\.\d+ of the peak$/);
    await page.getByRole('radio', { name: 'corner', exact: true }).check();
    await expect.poll(async () => Number(await spot.getAttribute('aria-valuenow')), { timeout: 20_000 }).not.toBe(right);
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('the photograph', () => {
  it('is drawn at once and then at full size; the swipe moves by keyboard; a negative turns it round', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await box(page);
    await list(page, 'This hole').selectOption('typed');
    await field(page, 'Its diameter').fill('1.2');
    await drawn(page, /First look|full size/);
    const swipe = page.getByRole('slider', { name: 'Line between the two holes' });
    expect(await swipe.getAttribute('aria-valuetext')).toBe('50 % this hole');
    await drawn(page, 'Drawn at full size');
    const halves = await page.locator('.view canvas').evaluate((canvas) => (canvas as HTMLCanvasElement).toDataURL());
    for (let i = 0; i < 5; i++) await swipe.press('PageUp');
    expect(await swipe.getAttribute('aria-valuetext')).toBe('100 % this hole');
    expect(await page.locator('.view canvas').evaluate((canvas) => (canvas as HTMLCanvasElement).toDataURL())).not.toBe(halves);
    const sky = await greyAt(page, 0.5, 0.04);
    await list(page, 'Shown as').selectOption('negative');
    await expect.poll(() => greyAt(page, 0.5, 0.04)).toBeCloseTo(255 - sky, -1);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('stops when asked, keeps the first look, and goes on when asked', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await box(page);
    await page.getByRole('button', { name: 'Stop drawing' }).click();
    await drawn(page, 'Stopped: this is the first look');
    await page.getByRole('button', { name: 'Draw at full size' }).click();
    await drawn(page, 'Drawn at full size');
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('may be the maker’s own, dropped, with the angle it covers', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await box(page);
    await drawn(page, /First look|full size/);
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

  it('falls on a film bent to a cylinder: finer at the edge; and is saved in 16 bits', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await box(page);
    const edge = async (): Promise<number> => {
      const lines = (await saved(page, /contrast curves as CSV/)).text.split('\r\n');
      expect(lines[0]).toMatch(/^cyclesPerMm,centre,edge-t/);
      return Number(lines[21]?.split(',')[2]);
    };
    const flat = await edge();
    await list(page, 'Film lies').selectOption('cylinder');
    // the film meets the light face on: no stretching
    expect(await edge()).toBeGreaterThan(1.1 * flat);
    await drawn(page, 'Drawn at full size');
    const tiff = await saved(page, /picture as TIFF of 16 bits, this hole, large/);
    expect(tiff.download.suggestedFilename()).toMatch(/16-bit\.tif$/);
    expect(tiff.bytes.subarray(0, 4)).toEqual(Buffer.from([0x49, 0x49, 42, 0]));
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('refuses what is no photograph with a sentence', async () => {
    const { page, context } = await stage.visit('camera');
    await box(page);
    await page.getByLabel('Photograph to draw').setInputFiles({ name: 'notes.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('not one') });
    await page.getByRole('alert').filter({ hasText: 'notes.jpg is no photograph this browser can read' }).waitFor();
    await context.close();
  });

  it('shows a detail, moved by keyboard on its map, and both side by side', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await box(page);
    await drawn(page, /First look|full size/);
    await page.getByRole('radio', { name: '8×' }).check();
    const map = page.getByRole('slider', { name: 'Detail shown' });
    await map.press('PageUp');
    expect(await map.getAttribute('aria-valuetext')).toBe('70 % from the left, 30 % from the top');
    await page.getByRole('radio', { name: 'side by side' }).check();
    await page.getByRole('slider', { name: 'Line between the two holes' }).waitFor({ state: 'detached' });
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('everybody', () => {
  it.each(sizes)('reads the page at $width × $height: nothing axe would object to', async (size) => {
    const { page, context } = await stage.visit('camera', { size });
    await box(page);
    await drawn(page, /First look|full size/);
    await page.getByRole('slider', { name: 'Read the point image, linear' }).waitFor();
    await page.getByRole('radio', { name: '2×' }).check();
    // The grounds differ in colour only: one size stands for all.
    for (const theme of size.width > 1200 ? ['paper', 'night', 'darkroom'] : ['paper']) {
      await page.evaluate((name) => (document.documentElement.dataset['theme'] = name), theme);
      const { violations } = await new AxeBuilder({ page }).analyze();
      expect(violations.map(({ id, nodes }) => `${theme}, ${id}: ${nodes.map(({ html }) => html).join(', ')}`)).toEqual([]);
    }
    expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true);
    const small = await page.evaluate(() =>
      [...document.querySelectorAll<HTMLElement>('main button, main select, main input[type=text], main label:has(input)')]
        .filter((element) => element.offsetParent !== null && element.closest('p.facts') === null && element.getBoundingClientRect().height < 44)
        .map((element) => element.outerHTML.slice(0, 80)));
    expect(small).toEqual([]);
    await context.close();
  });

  it('reads it at 200 % without scrolling sideways', async () => {
    const { page, context } = await stage.visit('camera', { size: { width: 640, height: 450 }, scale: 2 });
    await box(page);
    await page.getByRole('slider', { name: 'Read the point image, linear' }).waitFor();
    expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true);
    await context.close();
  });
});
