/** A maker goes to the bench: choose a sheet, see the page, set paper and printer, save it, find it all again tomorrow. */
import { readFile } from 'node:fs/promises';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Stage, answerWith, expectReadable, newCamera } from './stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await Stage.raise();
});
afterAll(async () => {
  await stage.strike();
});

const field = (page: Page, label: string) => page.getByRole('textbox', { name: label, exact: true });
const paper = (page: Page) => page.getByRole('group', { name: /^Page \d+ of \d+:/ });

/** A camera with the numbers that the sheets need, then the Sheets page. */
async function atTheSheets(page: Page): Promise<void> {
  await newCamera(page);
  await page.getByRole('combobox', { name: 'Format' }).selectOption({ label: '4×5 in sheet film' });
  await field(page, 'Hole to film').fill('106');
  await field(page, 'Wood thickness').fill('9');
  await field(page, 'Holder depth T').fill('5');
  await answerWith(page, 'deep inside');
  await page.getByRole('link', { name: 'Sheets' }).click();
  await answerWith(page, 'View gauge');
}

async function saved(page: Page, button: string): Promise<{ readonly name: string; readonly bytes: Buffer }> {
  const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: button }).click()]);
  return { name: download.suggestedFilename(), bytes: await readFile(await download.path()) };
}

describe('the sheets of a camera', () => {
  it('are chosen, turned by keys, set to a paper and saved as PDF, SVG and DXF', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await atTheSheets(page);
    await answerWith(page, /pages? of A4, \d+ lengths drawn at true size/);
    await page.getByRole('radio', { name: /^Box parts/ }).check();
    await answerWith(page, 'Box parts and cut list');
    await paper(page).getByText('front board', { exact: true }).first().waitFor();
    await paper(page).focus();
    await page.keyboard.press('ArrowRight');
    await page.getByText(/^2 of \d+: Box/).waitFor();
    await page.getByRole('combobox', { name: 'Paper' }).selectOption('letter');
    await answerWith(page, 'pages of Letter');
    await page.getByRole('combobox', { name: 'Joints' }).selectOption('finger');
    await field(page, 'Boards you own').fill('2*600x300x9');
    await page.getByRole('button', { name: 'Page before' }).click();
    await paper(page).getByText(/^board 1 1, scale/).waitFor();
    await field(page, 'Boards you own').fill('two planks');
    await page.getByText('The board “two planks” was not understood').waitFor();

    await page.getByRole('radio', { name: /^Shutter parts/ }).check();
    await answerWith(page, 'Shutter parts');
    const pdf = await saved(page, 'Save as PDF');
    expect(pdf.name).toMatch(/shutter-parts\.pdf$/);
    expect(pdf.bytes.subarray(0, 5).toString('latin1')).toBe('%PDF-');
    const svg = await saved(page, 'Save as SVG for a cutter');
    expect(svg.bytes.toString('utf8')).toContain('data-layer="cut"');
    const dxf = await saved(page, 'Save as DXF for a cutter');
    expect(dxf.bytes.toString('latin1')).toContain('$INSUNITS');
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('are corrected per axis by what the check bars measured, kept with the printer, undone and found again', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await atTheSheets(page);
    await paper(page).getByText('Not corrected for a printer').waitFor();
    await page.getByRole('combobox', { name: 'Printer' }).selectOption('new');
    await field(page, 'Its name').fill('Hall printer');
    await field(page, '100 mm bar across measures').fill('97');
    await field(page, '100 mm bar up measures').fill('98');
    await page.getByRole('button', { name: 'Correct by these' }).click();
    // 100/97 and 100/98
    await paper(page).getByText('Corrected for Hall printer: across × 1.0309, up × 1.0204').waitFor();
    // A page corrected already, still 0.5 mm long across: 1.0309 · 100/100.5
    await field(page, '100 mm bar across measures').fill('100,5');
    await field(page, '100 mm bar up measures').fill('100');
    await page.getByRole('button', { name: 'Correct by these' }).click();
    await paper(page).getByText('across × 1.0258, up × 1.0204').waitFor();
    await page.keyboard.press('Control+z');
    await paper(page).getByText('across × 1.0309, up × 1.0204').waitFor();
    await field(page, '100 mm bar across measures').fill('12');
    await field(page, '100 mm bar up measures').fill('98');
    await page.getByRole('button', { name: 'Correct by these' }).click();
    await page.getByText('The 100 mm bar across cannot measure 12 mm').waitFor();
    await page.getByText('Saved on this device').waitFor();
    await page.reload();
    await paper(page).getByText('Corrected for Hall printer: across × 1.0309, up × 1.0204').waitFor();
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('say what is missing where there is no camera, and print all of it at true size', async () => {
    const { page, context, complaints } = await stage.visit('sheets');
    await answerWith(page, 'Choose or begin a camera');
    await page.goto(new URL('camera', stage.address).href);
    await page.locator('.answer').waitFor();
    await atTheSheets(page);
    await page.getByRole('radio', { name: /^All of it/ }).check();
    await answerWith(page, 'All of it');
    // The browser's own print is held back; what it would print is looked at instead.
    await page.evaluate(() => (window.print = () => undefined));
    await page.getByRole('button', { name: /^Print \d+ pages/ }).click();
    await page.emulateMedia({ media: 'print' });
    const sizesMm = await page.evaluate(() =>
      [...document.querySelectorAll('.on-paper svg')].map((svg) => {
        const box = svg.getBoundingClientRect();
        return [(box.width * 25.4) / 96, (box.height * 25.4) / 96] as const;
      }));
    expect(sizesMm.length).toBeGreaterThan(20);
    expect(Math.abs(Math.min(...sizesMm.map(([width]) => width)) - 210)).toBeLessThan(0.1);
    expect(await page.locator('#app').isVisible()).toBe(false);
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('everybody', () => {
  it('reads the page at every size and at 200 %: nothing axe would object to', async () => {
    const { page, context } = await stage.visit('camera');
    await atTheSheets(page);
    await page.getByRole('radio', { name: /^Shutter parts/ }).check();
    await page.getByRole('combobox', { name: 'Printer' }).selectOption('new');
    await field(page, 'Its name').waitFor();
    // The page itself is a picture with a name: its hundreds of strokes are none of the reader's business.
    await expectReadable(page, { exclude: '.paper svg' });
    await context.close();
  });
});
