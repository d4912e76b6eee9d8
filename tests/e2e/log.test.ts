/** The log as a maker uses it: in the field, at the bench, with ten thousand exposures, without a network. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Stage, answerWith, sizes } from './stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await Stage.raise();
});
afterAll(async () => {
  await stage.strike();
});

const ID = (n: number): string => `01999c9e-0000-7000-8000-${n.toString(16).padStart(12, '0')}`;
const camera = { id: ID(2), name: 'Walnut', focalLengthMm: 135, fNumber: 300, filmName: 'HP5 Plus', mountings: [] };

function workshopWith(exposures: readonly object[]): Buffer {
  const head = { format: 'camerawright-workshop', version: 1, id: ID(1), name: 'Field', createdAt: '2026-05-01T10:00:00+02:00' };
  return Buffer.from(JSON.stringify({ ...head, cameras: [camera], plates: [], films: [], scanners: [], trash: [], exposures }));
}

async function openFile(page: Page, buffer: Buffer, name = 'field.workshop.json'): Promise<void> {
  await page.setInputFiles('input[type=file][accept*=zip][accept^=".json"]', { name, mimeType: 'application/octet-stream', buffer });
  await page.getByText('Opened “').waitFor();
}

const line = (page: Page) => page.getByRole('listbox', { name: /^Exposures/ }).getByRole('option');

describe('in the field', () => {
  it('an exposure is given as planned by one press, taken back, judged, compared, put away; with the network off', async () => {
    const { page, context, complaints } = await stage.visit('log', { size: sizes[2], offline: true });
    await answerWith(page, 'No exposure is written down yet');
    const planned = [{ id: ID(10), at: '2026-05-01T10:00:00+02:00', cameraId: ID(2), filmName: 'HP5 Plus', planned: { correctedS: 4 } }];
    await openFile(page, workshopWith(planned));
    await page.getByRole('button', { name: /^Workshop/ }).click();
    await page.getByText('Ready without a network').waitFor();
    await page.keyboard.press('Escape');
    await context.setOffline(true);
    await answerWith(page, 'One exposure waits to be given: 4 s with Walnut on HP5 Plus.');
    await page.getByRole('button', { name: 'Given as planned', exact: true }).click();
    await answerWith(page, 'the last on 1 May 2026, 10:00 with Walnut, 4 s, not judged yet');
    await page.keyboard.press('Control+z');
    await answerWith(page, 'One exposure waits');
    await page.keyboard.press('Control+Shift+z');
    await line(page).first().click();
    await page.getByRole('radio', { name: 'too dark' }).check();
    await page.getByRole('textbox', { name: 'Light beyond what was right' }).fill('-1');
    await page.getByRole('button', { name: 'Once more' }).click();
    await page.getByRole('textbox', { name: 'Time given' }).fill('8 s');
    await page.getByText('One thing changed: time given (1.0 stop more).').waitFor();
    await page.getByRole('button', { name: 'Put away', exact: true }).click();
    await page.getByRole('button', { name: 'Bring it back' }).click();
    expect(await line(page).count()).toBe(2);
    await page.getByText('Saved on this device').first().waitFor({ state: 'attached' });
    // Reloaded with the network off: everything is there.
    await page.reload();
    await page.getByText('2 exposures, the newest first').waitFor();
    await page.getByRole('textbox', { name: 'Find' }).fill('too dark');
    await page.getByText('1 of 2 exposures').waitFor();
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBe(sizes[2].width);
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('at the bench', () => {
  it('ten thousand exposures open, scroll and are found, and only those in sight are drawn', async () => {
    const { page, context, complaints } = await stage.visit('log');
    const exposures = Array.from({ length: 10_000 }, (_, i) => ({
      id: ID(1000 + i), at: new Date(Date.UTC(2020, 0, 1) + i * 3_600_000).toISOString(), cameraId: ID(2), place: `Quay ${i}`, given: { timeS: 4 },
    }));
    await openFile(page, workshopWith(exposures));
    await page.getByText('10000 exposures, the newest first').waitFor();
    expect(await line(page).count()).toBeLessThan(60);
    await page.getByRole('textbox', { name: 'Find' }).fill('quay 4321');
    await page.getByText('1 of 10000 exposures').waitFor();
    await page.getByRole('textbox', { name: 'Find' }).fill('');
    await page.getByRole('listbox').focus();
    await page.keyboard.press('End');
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: 'Walnut, 1 Jan 2020, 00:00' }).waitFor();
    await page.reload();
    await page.getByText('10000 exposures, the newest first').waitFor();
    expect(complaints).toEqual([]);
    await context.close();
  });
});
