/** What the journeys on the Picture page have in common. */
import { readFile } from 'node:fs/promises';
import type { Download, Page } from 'playwright-core';
import { newCamera } from './stage.ts';

/**
 * The photograph that the page draws by itself, at full size and through two holes, is the dearest thing in the app:
 * journeys that are not about it hold it back, as a slow line would.
 */
export const GARDEN = '**/demo/photographs/walled-garden.jpg';

export const field = (page: Page, label: string) => page.getByRole('textbox', { name: label, exact: true });
export const list = (page: Page, label: string) => page.getByRole('combobox', { name: label, exact: true });

/** A 4×5 box of 106 mm on the bench, then its Picture page. */
export async function box(page: Page): Promise<void> {
  await newCamera(page);
  await list(page, 'Format').selectOption({ label: '4×5 in sheet film' });
  await field(page, 'Hole to film').fill('106');
  await page.getByRole('link', { name: 'Picture', exact: true }).click();
  await page.getByRole('heading', { name: 'Holes' }).waitFor();
}

export async function drawn(page: Page, state: string | RegExp): Promise<void> {
  await page.locator('.state').filter({ hasText: state }).waitFor({ timeout: 120_000 });
}

export async function saved(page: Page, button: RegExp): Promise<{ readonly download: Download; readonly text: string; readonly bytes: Buffer }> {
  const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: button }).click()]);
  const bytes = await readFile(await download.path());
  return { download, bytes, text: bytes.toString('utf8') };
}
