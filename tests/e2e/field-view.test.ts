/** The exposure as it is made: one camera, one time, and a timer that stays true while nobody looks. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Stage, answerWith, expectNoFaults, expectNothingSideways } from './stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await Stage.raise();
});
afterAll(async () => {
  await stage.strike();
});

const phone = { width: 390, height: 844 };
const view = (page: Page) => page.getByRole('dialog', { name: 'Field view' });
const digits = (page: Page) => page.getByRole('timer');

/** f/250, HP5 Plus, EV 8: metered 61 s, to give 61.04^1.31 = 218 s, rounded to 3 min 40 s. */
async function inField(page: Page): Promise<void> {
  await page.getByRole('textbox', { name: 'f-number', exact: true }).fill('250');
  await page.getByRole('combobox', { name: 'Material' }).selectOption('list:HP5 Plus');
  await page.getByRole('radio', { name: 'by EV' }).check();
  await page.getByRole('textbox', { name: 'EV', exact: true }).fill('8');
  await answerWith(page, 'Expose 3 min 40 s');
  await page.getByRole('button', { name: /^Field view/ }).click();
  await view(page).waitFor();
}

describe('the field view on a phone', () => {
  it('counts in, is true after sleep and reload, tells the overrun in stops, and writes down what was given', async () => {
    const { page, context, complaints } = await stage.visit('exposure', { size: phone, touch: true });
    await page.clock.install({ time: new Date('2026-06-21T17:00:00Z') });
    await page.reload();
    await page.locator('.answer').waitFor();
    await inField(page);
    expect(await digits(page).innerText()).toBe('3:40');
    // cap height 0.7 of the type size; 12 mm on a phone of 65 mm are 72 px
    const size = await digits(page).evaluate((element) => parseFloat(getComputedStyle(element).fontSize));
    expect(size * 0.7).toBeGreaterThanOrEqual(72);
    await page.getByRole('radio', { name: '10 s' }).check();
    await page.getByRole('button', { name: 'Start', exact: true }).click();
    await view(page).getByText(/^Close at \d\d:\d\d:\d\d/).waitFor();
    // the phone sleeps: timers fire once at most, the clock has gone on (and goes on: a slow machine may add seconds)
    await page.clock.fastForward('01:20');
    await view(page).getByText(/^Open for 1:[1-5]\d of 3:40\.$/).waitFor();
    expect(await digits(page).innerText()).toMatch(/^[12]:\d\d$/);
    const saved = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Alarm for the calendar' }).click();
    expect((await saved).suggestedFilename()).toBe('close-the-shutter.ics');
    await page.reload();
    await view(page).waitFor();
    await page.clock.fastForward('27:00');
    // 1700 to 1800 s given instead of 220 s: log2(7.7…8.2)/1.31 = 2.3 stops on a film that tires
    await view(page).getByText(/^Close now: 2[4-6] min.* over, 2\.[23] stops too much\.$/).waitFor();
    await page.getByRole('button', { name: 'Closed', exact: true }).click();
    await view(page).getByText(/^Given (28|29|30) min.*: 2\.[23] stops more than planned\.$/).first().waitFor();
    await page.getByRole('button', { name: 'Write it down', exact: true }).click();
    await page.getByText(/^Written down: (28|29|30) min/).first().waitFor();
    expect(await digits(page).innerText()).toBe('3:40');
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('is trimmed by thirds, worked by thumb and keyboard, and readable on paper and in red', async () => {
    const { page, context, complaints } = await stage.visit('exposure', { size: phone, touch: true });
    await inField(page);
    for (let i = 0; i < 3; i++) await page.getByRole('button', { name: 'More exposure by + ⅓' }).click();
    // one stop more light is 2^1.31 in time: 540 s
    await view(page).getByText('+1 stop').waitFor();
    expect(await digits(page).innerText()).toBe('9:00');
    const main = await page.getByRole('button', { name: 'Start', exact: true }).boundingBox();
    expect(main?.height).toBeGreaterThanOrEqual(88);
    expect((main?.y ?? 0) + (main?.height ?? 0)).toBeGreaterThan(phone.height * 0.85);
    await expectNoFaults(page, { themes: ['paper', 'darkroom'], include: 'dialog' });
    await expectNothingSideways(page);
    await page.keyboard.press('Escape');
    await answerWith(page, 'Expose 3 min 40 s');
    expect(complaints).toEqual([]);
    await context.close();
  });
});
