/** A maker at dusk, and one who puts a can on a roof for half a year. */
import { readFile } from 'node:fs/promises';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Stage, answerWith } from './stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await Stage.raise();
});
afterAll(async () => {
  await stage.strike();
});

const field = (page: Page, label: string) => page.getByRole('textbox', { name: label, exact: true });

async function zurich(page: Page): Promise<void> {
  await field(page, 'Latitude').fill('47.37');
  await field(page, 'Longitude').fill('8.54 E');
  await field(page, 'Time zone').fill('Europe/Zurich');
}

/** f/250, HP5 Plus, the evening of 22 September 2026, EV 8 at five past seven. */
async function evening(page: Page): Promise<void> {
  await page.getByText('Film, hole and filter').click();
  await field(page, 'f-number').fill('250');
  await page.getByRole('combobox', { name: 'Material' }).selectOption('list:HP5 Plus');
  await page.getByRole('radio', { name: 'by place and time' }).check();
  await zurich(page);
  await page.getByLabel('Date', { exact: true }).fill('2026-09-22');
  await field(page, 'EV now').fill('8');
  await page.getByRole('button', { name: 'Take it as a reading' }).click();
  await page.getByLabel('Time of reading 1').fill('19:05');
}

/** A can 66 mm wide with a paper 180 × 110 mm, hole 90 mm up, looking south from solstice to solstice. */
async function can(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'New camera', exact: true }).click();
  await zurich(page);
  await field(page, 'Can, inside diameter').fill('66');
  await field(page, 'Width').fill('180');
  await field(page, 'Height').fill('110');
  await field(page, 'Hole above its lower edge').fill('90');
  await field(page, 'Hole').fill('0.3');
  await page.getByLabel('Open on').fill('2026-12-21');
  await page.getByLabel('Close on').fill('2027-06-21');
}

describe('light that changes', () => {
  it('says when to close, and that a dimmer light will never be enough', async () => {
    const { page, context, complaints } = await stage.visit('exposure#dusk');
    await answerWith(page, 'Type the f-number of the hole');
    await evening(page);
    await answerWith(page, /Open at 19:05:00, close at\s*19:0[89]:\d\d/);
    const slider = page.getByRole('slider', { name: 'Along the exposure' });
    await slider.focus();
    await page.keyboard.press('End');
    expect(await slider.getAttribute('aria-valuetext')).toMatch(/^19:\d\d(:\d\d)?: EV \d.*% of the exposure$/);
    await page.getByRole('row', { name: /^right/ }).getByText(/^19:0[89]/).waitFor();
    const download = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Reminder to close, for the calendar' }).click();
    const ics = await readFile((await (await download).path()) ?? '', 'utf8');
    expect(ics).toMatch(/DTSTART:20260922T17(08|09|10)00Z/);
    await field(page, 'EV of reading 1').fill('4');
    await answerWith(page, /This light will never be enough; from 19:05 on at most −\d/);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('goes by two readings without any place, and keeps them', async () => {
    const { page, context, complaints } = await stage.visit('exposure#dusk');
    await evening(page);
    await page.getByRole('radio', { name: 'by readings alone' }).check();
    await answerWith(page, 'give a second one');
    await field(page, 'Next EV').fill('eight');
    await page.getByRole('button', { name: 'Take it as a reading' }).click();
    await page.getByText('“eight” is not understood').waitFor();
    await field(page, 'Next EV').fill('6');
    await page.getByRole('button', { name: 'Take it as a reading' }).click();
    await page.getByLabel('Time of reading 2').fill('19:15');
    // two stops in ten minutes: 5 min, and 5/ln 2 = 7.2 min of present light left
    await page.getByText(/The light halves in 5 min; what is left of it is worth\s+7 min/).waitFor();
    await page.getByText('Saved on this device').waitFor();
    await page.reload();
    await page.getByText(/The light halves in 5 min/).waitFor();
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('sun tracks', () => {
  it('says whether the noon sun of June stays on the paper, and what brings it back', async () => {
    const { page, context, complaints } = await stage.visit('exposure#sun');
    await answerWith(page, 'Make a camera');
    await can(page);
    const sentence = await answerWith(page, 'The noon sun of 21 June, 66.1° high, misses the paper by 59 mm');
    const tilt = /tilt to ([\d.]+)°/.exec(sentence)?.[1] ?? '';
    await field(page, 'Tilt').fill(tilt);
    await answerWith(page, 'stays on the paper');
    await page.getByRole('img', { name: /^The paper unrolled, emulsion up.*June solstice: the noon sun falls/ }).waitFor();
    await page.getByRole('radio', { name: 'as the picture will be seen' }).check();
    await page.getByRole('img', { name: /^The paper unrolled, turned as the picture/ }).waitFor();
    await page.getByRole('radio', { name: 'by compass' }).check();
    await page.getByText(/by the WMM-2025 model, made for 2024 to 2029/).waitFor();
    await page.getByText('That is 180° from true north.').waitFor();
    await page.getByText('Never look at the sun through the hole').waitFor();
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('gives drawing, table and reminders as files', async () => {
    const { page, context, complaints } = await stage.visit('exposure#sun');
    await can(page);
    await answerWith(page, 'misses the paper');
    const saved = async (button: string): Promise<string> => {
      const download = page.waitForEvent('download');
      await page.getByRole('button', { name: button }).click();
      return readFile((await (await download).path()) ?? '', 'utf8');
    };
    expect(await saved('Save the drawing')).toContain('width="208mm"');
    expect(await saved('Save the tracks as a table')).toContain('2027-06-21,June solstice,2027-06-21T');
    expect(await saved('Reminders for the calendar')).toContain('DTSTART:20270621T070000Z');
    await field(page, 'Skyline').fill('90:12, 180:4, 270:1x');
    await field(page, 'Skyline').blur();
    await page.getByText('“270:1x” is not understood').waitFor();
    await field(page, 'Skyline').fill('90:12, 180:30, 270:12');
    await field(page, 'Skyline').blur();
    await page.getByText('“270:1x” is not understood').waitFor({ state: 'hidden' });
    expect(complaints).toEqual([]);
    await context.close();
  });
});
