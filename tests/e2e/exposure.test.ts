/** A maker with a meter, or with none: from the light to a time, and everything typed there again tomorrow. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Stage, answerWith, expectReadable } from './stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await Stage.raise();
});
afterAll(async () => {
  await stage.strike();
});

const field = (page: Page, label: string) => page.getByRole('textbox', { name: label, exact: true });
const material = (page: Page) => page.getByRole('combobox', { name: 'Material' });

/** f/250 typed, HP5 Plus, EV 15. */
async function asked(page: Page): Promise<void> {
  await field(page, 'f-number').fill('250');
  await material(page).selectOption('list:HP5 Plus');
  await page.getByRole('radio', { name: 'by EV' }).check();
  await field(page, 'EV').fill('15');
}

describe('the sentence', () => {
  it('follows f-number, film and EV without a camera or a plate', async () => {
    const { page, context, complaints } = await stage.visit('exposure');
    await answerWith(page, 'Type the f-number of the hole');
    await asked(page);
    // t = 250² / 2^15 · 100 / 400 = 0.477 s: no correction below 1 s
    await answerWith(page, /Expose 0\.5 s/);
    await field(page, 'EV').fill('12');
    // metered 3.81 s; HP5 Plus T = t^1.31 = 5.77 s
    await answerWith(page, /Expose (5\.[5-9]|6) s/);
    expect(await page.getByRole('region', { name: 'From light to time' }).innerText()).toContain('3.8 s');
    // in lamp light as its kind mostly sees it, and as an orthochromatic film does: the command's 8.2 s and 14 s
    await page.getByRole('combobox', { name: 'Colour of the light' }).selectOption('tungsten');
    await answerWith(page, 'Expose 8.2 s');
    await page.getByRole('combobox', { name: 'Seen by' }).selectOption('orthochromatic');
    await answerWith(page, 'Expose 14 s');
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('takes a meter reading with its mark, a filter in stops, and names the largest doubt', async () => {
    const { page, context, complaints } = await stage.visit('exposure');
    await asked(page);
    await page.getByRole('radio', { name: 'by meter reading' }).check();
    await answerWith(page, 'Type the time and the f-number');
    await field(page, 'Time on the meter').fill('1/30');
    await field(page, 'at').fill('f/22');
    // (250 / 22.627)² / 30 = 4.07 s metered
    await page.getByRole('region', { name: 'From light to time' }).getByText('4.1 s').first().waitFor();
    await field(page, 'Filter').fill('3 stops');
    await page.getByText('×8', { exact: true }).waitFor();
    await page.getByRole('row', { name: /^Metered/ }).getByText('33 s').waitFor();
    await page.getByText(/^The largest doubt is /).waitFor();
    await field(page, 'Filter').fill('half a stop');
    await page.getByText('“half a stop” is not understood').waitFor();
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('says what is only practice, and what is extrapolated', async () => {
    const { page, context, complaints } = await stage.visit('exposure');
    await asked(page);
    await material(page).selectOption({ label: 'not in the list: by speed alone' });
    await answerWith(page, 'Neither a film nor a speed was given');
    await field(page, 'Exposed at').fill('6');
    await field(page, 'EV').fill('10');
    await answerWith(page, 'Expose 17 min');
    await page.getByText('No film was named, so nothing is added for reciprocity').waitFor();
    await page.getByRole('radio', { name: 'in words' }).check();
    await page.getByRole('combobox', { name: 'Scene' }).selectOption('bright-sun');
    await page.getByText('Never look at the sun through the hole').waitFor();
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('shows the film’s curve with its published rows', async () => {
    const { page, context, complaints } = await stage.visit('exposure');
    await asked(page);
    await material(page).selectOption('list:Tri-X 400 / Tri-X 320');
    await field(page, 'EV').fill('9');
    await page.getByRole('img', { name: /^Tri-X 400 \/ Tri-X 320: .+ metered becomes .+ Published rows:/ }).waitFor();
    await page.getByText('The published rows').click();
    expect(await page.getByRole('table').filter({ hasText: 'to give' }).getByRole('row').count()).toBeGreaterThan(3);
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('what was typed', () => {
  it('is there after a reload, as typed, and can be undone', async () => {
    const { page, context, complaints } = await stage.visit('exposure');
    await asked(page);
    await field(page, 'EV').fill('12,3');
    const sentence = await answerWith(page, 'Expose');
    await page.getByText('Saved on this device').waitFor();
    await page.reload();
    expect(await answerWith(page, 'Expose')).toBe(sentence);
    expect(await field(page, 'EV').inputValue()).toBe('12,3');
    expect(await field(page, 'f-number').inputValue()).toBe('250');
    await field(page, 'EV').press('ArrowUp');
    expect(await field(page, 'EV').inputValue()).toBe('12.7');
    await page.keyboard.press('Control+z');
    expect(await field(page, 'EV').inputValue()).toBe('12,3');
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('everybody', () => {
  it('reads the page at every size and at 200 %: nothing axe would object to, nothing sideways', async () => {
    const { page, context } = await stage.visit('exposure');
    await asked(page);
    await page.getByRole('button', { name: 'With reasons' }).click();
    await expectReadable(page);
    await context.close();
  });
});
