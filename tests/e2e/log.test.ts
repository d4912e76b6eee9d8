/** The log as a maker uses it: in the field, at the bench, with ten thousand exposures, without a network. */
import { readFile } from 'node:fs/promises';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Stage, answerWith, expectNothingSideways, sizes } from './stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await Stage.raise();
});
afterAll(async () => {
  await stage.strike();
});

const ID = (n: number): string => `01999c9e-0000-7000-8000-${n.toString(16).padStart(12, '0')}`;
const camera = { id: ID(2), name: 'Walnut', focalLengthMm: 135, fNumber: 300, filmName: 'HP5 Plus', mountings: [] };

function workshopWith(exposures: readonly object[], more: object = {}): Buffer {
  const head = { format: 'camerawright-workshop', version: 1, id: ID(1), name: 'Field', createdAt: '2026-05-01T10:00:00+02:00' };
  return Buffer.from(JSON.stringify({ ...head, cameras: [camera], plates: [], films: [], scanners: [], trash: [], ...more, exposures }));
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
    await expectNothingSideways(page);
    expect(complaints).toEqual([]);
    await context.close();
  });
});

/** A white picture of one pixel, as any program writes it. */
const PIXEL = Buffer.from('iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGP4DwABAQEAG7buVgAAAABJRU5ErkJggg==', 'base64');

describe('at the bench', () => {
  it('holders and sheets are followed, cameras compared, the negative’s photo kept; what was put away comes back; all of it goes out and in again', async () => {
    const { page, context, complaints } = await stage.visit('log');
    const pear = { id: ID(3), name: 'Pear', focalLengthMm: 75, mountings: [] };
    const plates = [1, 2].map((n) => ({ id: ID(20 + n), name: `P-${n}`, createdAt: '2026-04-01T10:00:00+02:00', passes: [] }));
    const planned = [{ id: ID(10), at: '2026-05-01T10:00:00+02:00', cameraId: ID(2), filmName: 'HP5 Plus', planned: { correctedS: 4 } }];
    await openFile(page, workshopWith(planned, { cameras: [camera, pear], plates }));
    const view = (name: string) => page.getByRole('group', { name: 'What to look at' }).getByRole('button', { name }).click();
    const put = (label: string, text: string) => page.getByRole('textbox', { name: label, exact: true }).fill(text);

    await view('Holders and sheets');
    await put('Name or number', 'A');
    await page.getByRole('button', { name: 'New holder' }).click();
    await put('Depths read', '5.02; 4.99; 5.01');
    await page.getByRole('button', { name: 'Write down' }).click();
    // (5.02 + 4.99 + 5.01)/3
    await page.getByText(/the film lies 5\.007?/).waitFor();
    await page.getByRole('button', { name: 'Use in Walnut' }).click();
    await put('Number', '17');
    await page.getByRole('button', { name: 'New sheet' }).click();
    await page.getByText('Sheet 17 is not loaded.').waitFor();
    await page.getByRole('button', { name: 'Load in A' }).click();
    await page.getByText('Sheet 17 is loaded in holder A and not exposed.').waitFor();

    await view('Cameras');
    const holderRow = page.getByRole('row').filter({ hasText: /older depth/ });
    expect(await holderRow.innerText()).toContain('5.0');
    expect(await page.getByRole('row').filter({ hasText: /ocal length/ }).innerText()).toMatch(/135[\s\S]*75/);
    await view('Plates');
    await page.getByRole('combobox', { name: 'Against' }).selectOption({ label: 'P-2' });
    await page.getByRole('columnheader', { name: 'P-2' }).waitFor();
    const wide = page.viewportSize()!;
    await page.setViewportSize({ width: 390, height: 844 });
    for (const name of ['Plates', 'Cameras', 'Holders and sheets', 'Exposures']) {
      await view(name);
      await expectNothingSideways(page, name);
    }
    await page.setViewportSize(wide);

    // The sheet goes into the exposure, the exposure is given, the sheet says so.
    await view('Exposures');
    await line(page).first().click();
    await put('Sheet', '17');
    await page.getByRole('button', { name: 'Given as planned: 4 s' }).last().click();
    await page.locator('input[type=file][accept^="image/"]').setInputFiles({ name: 'negative 17.png', mimeType: 'image/png', buffer: PIXEL });
    await page.getByRole('img', { name: 'negative negative 17.png' }).waitFor();
    await view('Holders and sheets');
    await page.getByText('Sheet 17 in holder A is exposed: do not use it again, develop it.').waitFor();
    await page.getByRole('button', { name: /^Developed/ }).click();
    await page.getByText('Sheet 17 is developed.').waitFor();
    await page.getByRole('button', { name: 'Put away sheet 17' }).click();
    await page.getByText('Sheet 17 is developed.').waitFor({ state: 'detached' });
    await page.getByRole('button', { name: /^Workshop/ }).click();
    await page.getByRole('button', { name: 'Bring back Sheet 17' }).click();
    await page.keyboard.press('Escape');
    await page.getByText('Sheet 17 is developed.').waitFor();

    // Out as a table, on paper and with its pictures.
    await view('Exposures');
    const handed = async (name: string): Promise<string> => {
      const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name, exact: true }).click()]);
      return await download.path();
    };
    const take = (name: string, buffer: Buffer) => page.setInputFiles('input[type=file][accept^=".csv"]', { name, mimeType: 'application/octet-stream', buffer });
    const csv = await readFile(await handed('Save all as a table'));
    expect(csv.toString('utf8').trim().split(/\r?\n/)).toHaveLength(2);
    await take('exposures.csv', csv);
    await page.getByText('0 exposures came from “exposures.csv”. 1 was here already.').waitFor();
    await take('exposures.csv', Buffer.from(csv.toString('utf8').replace(ID(10), ID(11))));
    await page.getByText('1 exposure came from “exposures.csv”.').waitFor();
    await page.getByText('2 exposures, the newest first').waitFor();
    await page.evaluate(() => (window.print = () => (document.body.dataset['printed'] = document.querySelector<HTMLElement>('.printed tbody')?.textContent ?? '')));
    await page.getByRole('button', { name: 'Print', exact: true }).click();
    await expect.poll(() => page.evaluate(() => document.body.dataset['printed'])).toContain('Walnut');
    const zip = await readFile(await handed('Save with scans'));
    await page.getByText('Saved with its one scan or picture.').waitFor();
    expect(complaints).toEqual([]);
    await context.close();

    // Another device: workshop and picture are both in the one file.
    const other = await stage.visit('log');
    await openFile(other.page, zip, 'field.workshop.zip');
    await line(other.page).last().click();
    await other.page.getByRole('img', { name: 'negative negative 17.png' }).waitFor();
    await openFile(other.page, workshopWith([]), 'field.workshop.json');
    await other.page.getByRole('button', { name: /^Workshop/ }).click();
    await other.page.getByRole('button', { name: 'Make room: remove scans of no workshop' }).click();
    await other.page.getByText('1 scan or picture of no workshop removed').waitFor();
    expect(other.complaints).toEqual([]);
    await other.context.close();
  });

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
