/** One walk through every part of the Exposure page, by keys where a key will do: what each answers, and that all can read it. */
import { readFile } from 'node:fs/promises';
import AxeBuilder from '@axe-core/playwright';
import type { Page } from 'playwright-core';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Stage, answerWith, expectNothingSideways } from './stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await Stage.raise();
});
afterAll(async () => {
  await stage.strike();
});

interface Bench {
  plates: unknown[];
  cameras: { name: string; mountings: unknown[]; fNumber?: number }[];
}

/** The demo without its plates, so that no scan has to be measured; f/282 as its first plate would give. */
async function bench(): Promise<Bench> {
  const demo = JSON.parse(await readFile(new URL('../../demo/demo-workshop.json', import.meta.url), 'utf8')) as Bench;
  return { ...demo, plates: [], cameras: demo.cameras.map((camera) => ({ fNumber: 282, ...camera, mountings: [] })) };
}

/** Five strips above a wedge of five steps; 255·10^(−D/2) stands for a scanner of whatever tone curve. */
async function scan(wedge: readonly number[], strips: readonly number[]): Promise<Buffer> {
  const pixels = Buffer.alloc(300 * 160);
  for (let row = 0; row < 160; row++) {
    for (let column = 0; column < 300; column++) {
      const density = (row < 80 ? strips : wedge)[Math.floor(column / 60)] ?? 0;
      pixels[row * 300 + column] = Math.round(255 * 10 ** (-density / 2));
    }
  }
  return sharp(pixels, { raw: { width: 300, height: 160, channels: 1 } }).png().toBuffer();
}

const textbox = (page: Page, name: string) => page.getByRole('textbox', { name, exact: true });

/**
 * Everything axe knows on paper, the contrast on a dark ground (night and darkroom in turn: they share every rule but the
 * colours' values), and no scrolling sideways on a phone.
 */
async function readable(page: Page, part: string, dark: 'night' | 'darkroom'): Promise<void> {
  const found: string[] = [];
  for (const theme of ['paper', dark]) {
    await page.evaluate((name) => (document.documentElement.dataset['theme'] = name), theme);
    // one frame, and the frame round every page is looked at by other tests
    const axe = new AxeBuilder({ page }).setLegacyMode().include('main');
    const { violations } = await (theme === 'paper' ? axe : axe.withRules(['color-contrast'])).analyze();
    found.push(...violations.map(({ id, nodes }) => `${part}, ${theme}, ${id}: ${nodes.map(({ html }) => html).join(', ')}`));
  }
  expect(found).toEqual([]);
  await page.evaluate(() => (document.documentElement.dataset['theme'] = 'paper'));
  await page.setViewportSize({ width: 390, height: 844 });
  await expectNothingSideways(page);
  await page.setViewportSize({ width: 1440, height: 900 });
}

async function leaf(page: Page, name: string): Promise<void> {
  await page.getByRole('group', { name: 'On the sheet' }).getByRole('button', { name, exact: true }).press('Enter');
}

describe('the parts of the Exposure page', () => {
  it('answer, read a step wedge from a scan, change a film, draw the tin, and can be read by all', async () => {
    const { page, context, complaints } = await stage.visit('exposure', { workshop: await bench() });
    await answerWith(page, 'Expose 8 min as metered, or longer');
    // for later: in the log, and from there given in two presses
    await page.getByRole('button', { name: 'For later: plan it in the Log' }).press('Enter');
    await page.getByText(/^8 min with .* waits in the Log to be given\.$/).waitFor();
    await page.getByRole('button', { name: 'To the Log', exact: true }).press('Enter');
    await answerWith(page, 'One exposure waits to be given: 8 min');
    await page.getByRole('button', { name: 'Given as planned: 8 min' }).press('Enter');
    await answerWith(page, '8 min, not judged yet');
    await page.goBack();
    await answerWith(page, 'Expose 8 min as metered, or longer');
    await page.getByRole('button', { name: 'With reasons' }).press('Enter');
    await readable(page, 'the chain', 'night');

    await leaf(page, 'Cards');
    await page.getByRole('combobox', { name: 'Lines' }).selectOption('ev');
    // 282² / 2^12 · 100/4 = 485 s, the page's own answer
    await page.getByRole('row', { name: /^EV 12 8 min/ }).waitFor();
    const saved = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Save the card as CSV' }).press('Enter');
    expect(await readFile((await (await saved).path()) ?? '', 'utf8')).toMatch(/^light,ev100,.*\r\nEV 16,16,30\.3/);
    await page.getByRole('row', { name: /^Four by five, still on paper/ }).waitFor();
    await readable(page, 'cards', 'darkroom');

    await leaf(page, 'Test on one sheet');
    await page.getByText('5 strips of 24 mm from 2 min to 32 min').waitFor();
    const wedge = [0.05, 0.35, 0.65, 0.95, 1.25];
    await page.getByLabel('Scan of sheet and wedge').setInputFiles({
      name: 'sheet.png', mimeType: 'image/png', buffer: await scan(wedge, [1.2, 0.9, 0.6, 0.3, 0.1]),
    });
    await textbox(page, 'Densities of the wedge').fill(wedge.join(', '));
    // the most light lies first: as read, the densities would fall with the light
    await page.getByText(/^Read 1\.20 at 2 min/).waitFor();
    await page.getByRole('combobox', { name: 'First in the scan lies' }).selectOption('most');
    await page.getByText(/^Read 0\.1\d at 2 min, 0\.30 at 4 min, 0\.60 at 8 min, 0\.90 at 16 min, 1\.20 at 32 min\.$/).waitFor();
    expect(Number(await textbox(page, 'Density of strip 3').inputValue())).toBeCloseTo(0.6, 1);
    await textbox(page, 'Wedge').fill('0, 50, 100, 90');
    await textbox(page, 'Wedge').press('Tab');
    await page.getByText(/does not lie within the scan/).waitFor();
    await textbox(page, 'Wedge').fill('0, 55, 100, 40');
    await textbox(page, 'Wedge').press('Tab');
    await page.getByText(/^Read 0\.1\d at 2 min/).waitFor();
    await readable(page, 'tests', 'night');
    await page.getByRole('button', { name: 'Learn from this sheet' }).press('Enter');
    // the wanted density of paper, 0.60, lies where the page itself thought the right time to be: the index stays 4
    await page.getByText(/^Sheet 1: .*The wanted density 0\.60 lies at (7 min 5\d s|8 min)/).waitFor();
    await page.getByText(/^Expose Paper negative.* at (3\.9|4)/).waitFor();

    await leaf(page, 'Own films');
    await page.getByRole('button', { name: /^Change Paper negative/ }).press('Enter');
    expect(await textbox(page, 'Exposure index from').inputValue()).toBe('3');
    await textbox(page, 'Exposure index from').fill('6');
    await textbox(page, 'to').fill('12');
    await page.locator('.sheet').getByRole('textbox', { name: 'Exposed at', exact: true }).fill('8');
    await readable(page, 'own films', 'darkroom');
    await page.getByRole('button', { name: 'Keep the change' }).press('Enter');
    await answerWith(page, 'Expose 4 min as metered');
    await page.getByText('Changed “Paper negative').first().waitFor();

    await leaf(page, 'What moves, flash');
    await page.getByText(/^A walker 5 m away is in the frame for/).waitFor();
    await textbox(page, 'First grey after').fill('4 s');
    await page.getByText(/^Flash 2\.8 s: shadows show with/).waitFor();
    await readable(page, 'moving', 'night');

    await page.getByRole('link', { name: 'Light that changes' }).press('Enter');
    await page.getByLabel('Date', { exact: true }).fill('2026-06-21');
    await page.getByLabel('Open at').fill('12:00');
    await answerWith(page, /Open at 12:00(:00)?, close at\s*12:\d\d/);
    await readable(page, 'dusk', 'darkroom');

    await page.getByRole('link', { name: 'Sun tracks' }).press('Enter');
    await page.getByRole('button', { name: /^Camera on the bench/ }).press('Enter');
    await page.getByRole('region', { name: 'Camera on the bench' }).getByRole('button', { name: /^Tea tin for the sun/ }).press('Enter');
    await answerWith(page, /noon sun of 21 June.*stays on the paper/);
    await readable(page, 'sun', 'night');
    expect(complaints).toEqual([]);
    await context.close();
  }, 480_000);
});
