/** The exposure as it is made: one camera, one time, and a timer that stays true while nobody looks. */
import AxeBuilder from '@axe-core/playwright';
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
    await page.getByRole('button', { name: 'Start', exact: true }).click();
    await view(page).getByText('Open in', { exact: false }).waitFor();
    // the phone sleeps: timers fire once at most, the clock has gone on
    await page.clock.fastForward('01:05');
    await view(page).getByText('Open for 1:00 of 3:40.').waitFor();
    expect(await digits(page).innerText()).toBe('2:40');
    const saved = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Alarm for the calendar' }).click();
    expect((await saved).suggestedFilename()).toBe('close-the-shutter.ics');
    await page.reload();
    await view(page).waitFor();
    await page.clock.fastForward('06:20');
    // 440 s given instead of 220 s: one doubling is 1/1.31 = 0.76 stop
    await view(page).getByText(/^Close now: 3 min 40 s over, 0\.8 stops too much\.$/).waitFor();
    await page.getByRole('button', { name: 'Closed', exact: true }).click();
    await view(page).getByText(/^Given 7 min 20 s: 0\.8 stops more than planned\.$/).waitFor();
    await page.getByRole('button', { name: 'Write it down', exact: true }).click();
    await page.getByText('Written down: 7 min 20 s.').waitFor();
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
    for (const theme of ['paper', 'darkroom']) {
      await page.evaluate((name) => (document.documentElement.dataset['theme'] = name), theme);
      const { violations } = await new AxeBuilder({ page }).include('dialog').analyze();
      expect(violations.map(({ id, nodes }) => `${theme}, ${id}: ${nodes.map(({ html }) => html).join(', ')}`)).toEqual([]);
    }
    expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true);
    await page.keyboard.press('Escape');
    await answerWith(page, 'Expose 3 min 40 s');
    expect(complaints).toEqual([]);
    await context.close();
  });
});
