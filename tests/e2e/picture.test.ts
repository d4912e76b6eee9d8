/** A maker before the picture is taken: what this hole will draw, what another would be worth, and all of it to take along. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { bestHoleInLight, compareHoles, filmLight, filmResponse, oneWavelength, pictureInWords, roundOtf } from '#core';
import { GARDEN, box, field, list, saved } from './picture-page.ts';
import { Stage, answerWith, newCamera } from './stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await Stage.raise();
});
afterAll(async () => {
  await stage.strike();
});

/** Without a film in the camera. */
const light = oneWavelength(550);
const view = { focalLengthMm: 106, objectDistanceMm: Infinity, light, diameterMm: 0.43 };

/** 0.50 held against 0.43. */
async function twoHoles(page: Page): Promise<void> {
  await list(page, 'This hole').selectOption('typed');
  await field(page, 'Its diameter').fill('0.50');
  await list(page, 'Held against').selectOption('typed');
  await field(page, 'Its diameter').last().fill('0.43');
}

describe('the sentence', () => {
  it('says what is missing, what 0.50 in place of 0.43 costs as the core computes it, and reads the curves by keyboard', async () => {
    const { page, context, complaints } = await stage.visit('picture', { holdBack: GARDEN });
    await answerWith(page, 'No camera is on the bench yet');
    await page.getByRole('button', { name: 'New camera', exact: true }).click();
    await answerWith(page, 'the image area and the focal length of this camera are needed');
    await page.getByRole('button', { name: 'To the Camera page' }).click();
    await box(page);
    await answerWith(page, /^The best round hole .* tells bars/);

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

    // The other hole is taken along the curve, and the sentence follows.
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

  it('follows film and filter, and says when a film sees nothing through one', async () => {
    const { page, context, complaints } = await stage.visit('camera', { holdBack: GARDEN });
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
    const { page, context, complaints } = await stage.visit('camera', { holdBack: GARDEN });
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
    const { page, context, complaints } = await stage.visit('picture', { demo: ['WB-1'], holdBack: GARDEN });
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
  it('are taken along as SVG, PNG and CSV; the point image is read at any place by keyboard, stretched in the corner', async () => {
    const { page, context, complaints } = await stage.visit('camera', { holdBack: GARDEN });
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
    const spot = page.getByRole('slider', { name: 'Read the point image, linear' });
    await spot.waitFor();
    const points = await saved(page, /point image as CSV/);
    expect(points.text.trim().split('\r\n').length).toBe(181 * 181 + 1);
    expect((await saved(page, /point image as PNG, log/)).bytes.subarray(1, 4).toString()).toBe('PNG');

    await spot.focus();
    // brightest in the middle
    expect(Number(await spot.getAttribute('aria-valuenow'))).toBeGreaterThan(0.99);
    for (let i = 0; i < 20; i++) await page.keyboard.press('ArrowRight');
    const right = Number(await spot.getAttribute('aria-valuenow'));
    expect(right).toBeLessThan(0.9);
    expect(await spot.getAttribute('aria-valuetext')).toMatch(/^\d+ µm right, 0 µm up: 0\.\d+ of the peak$/);
    await page.getByRole('radio', { name: 'corner', exact: true }).check();
    await expect.poll(async () => Number(await spot.getAttribute('aria-valuenow')), { timeout: 20_000 }).not.toBe(right);

    // A film bent to a cylinder meets the light face on: no stretching, finer at the edge.
    const edge = async (): Promise<number> => {
      const lines = (await saved(page, /contrast curves as CSV/)).text.split('\r\n');
      expect(lines[0]).toMatch(/^cyclesPerMm,centre,edge-t/);
      return Number(lines[21]?.split(',')[2]);
    };
    const flat = await edge();
    await list(page, 'Film lies').selectOption('cylinder');
    expect(await edge()).toBeGreaterThan(1.1 * flat);
    expect(complaints).toEqual([]);
    await context.close();
  });
});
