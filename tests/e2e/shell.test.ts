import { readFile } from 'node:fs/promises';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Stage, expectNothingSideways, newCamera, sizes } from './stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await Stage.raise();
});
afterAll(async () => {
  await stage.strike();
});

const chooser = (page: Page) => page.getByRole('button', { name: /^Camera on the bench/ });
const workshop = (page: Page) => page.getByRole('button', { name: /^Workshop/ });

describe('rooms', () => {
  it('have addresses of their own, titles that follow, and a way back', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    expect(new URL(page.url()).pathname).toBe('/camera');
    expect(await page.title()).toMatch(/^Camera · .+ · Camerawright$/);
    const words = await page.getByRole('navigation', { name: 'Rooms' }).getByRole('link').allInnerTexts();
    for (const word of words) {
      await page.getByRole('navigation', { name: 'Rooms' }).getByRole('link', { name: word }).click();
      await page.getByRole('main').locator('.answer').waitFor();
      expect(await page.title()).toMatch(new RegExp(`^${word} · `));
      expect(new URL(page.url()).pathname).toBe(`/${word.toLowerCase()}`);
    }
    await page.goto(`${stage.address}no-such-room`);
    await page.locator('.answer').waitFor();
    expect(new URL(page.url()).pathname).toBe('/camera');
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('the head of the sheet', () => {
  it('shows every room at every size, none cut, none over another, each large enough for a finger', async () => {
    const { page, context } = await stage.visit('camera');
    for (const size of [...sizes, { width: 340, height: 700 }]) {
      await page.setViewportSize(size);
      const cells = await page.getByRole('navigation', { name: 'Rooms' }).getByRole('link').evaluateAll((links) =>
        links.map((link) => {
          const { left, right, top, bottom } = link.getBoundingClientRect();
          return { left, right, top, bottom, cut: link.scrollWidth > link.clientWidth + 1 };
        }),
      );
      for (const [i, cell] of cells.entries()) {
        expect(cell, `${size.width} px`).toMatchObject({ cut: false });
        expect(Math.min(cell.left, size.width - cell.right)).toBeGreaterThanOrEqual(0);
        expect(Math.min(cell.right - cell.left, cell.bottom - cell.top)).toBeGreaterThanOrEqual(24);
        const before = cells[i - 1];
        expect(before === undefined || cell.left >= before.right - 0.01 || cell.top >= before.bottom - 0.01).toBe(true);
      }
      await expectNothingSideways(page);
      const words = await page.locator('svg.drawing text').evaluateAll((texts) =>
        texts.map((text) => {
          const { left, right } = text.getBoundingClientRect();
          return { word: text.textContent, room: Math.min(left, innerWidth - right) };
        }),
      );
      expect(words.filter(({ room }) => room < 0), `cut at ${size.width} px`).toEqual([]);
    }
    await context.close();
  });
});

describe('cameras on the bench', () => {
  it('are added, named, copied, put away and brought back', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await newCamera(page);
    await chooser(page).click();
    await page.getByRole('textbox', { name: 'Name' }).fill('Cigar box');
    await page.keyboard.press('Escape');
    expect(await chooser(page).innerText()).toContain('Cigar box');
    await chooser(page).click();
    await page.getByRole('button', { name: 'Duplicate' }).click();
    await chooser(page).filter({ hasText: 'Cigar box, copy' }).waitFor();
    await chooser(page).click();
    await page.getByRole('button', { name: 'Put away' }).click();
    await page.getByText('“Cigar box, copy” is put away').waitFor();
    await page.getByRole('button', { name: 'Bring it back' }).click();
    await chooser(page).filter({ hasText: 'Cigar box, copy' }).waitFor();
    await page.getByText('Saved on this device').waitFor();
    await page.reload();
    await chooser(page).filter({ hasText: 'Cigar box, copy' }).waitFor();
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('the workshop’s file', () => {
  it('is saved, and opens again in another browser just as it was', async () => {
    const first = await stage.visit('camera');
    await workshop(first.page).click();
    await first.page.getByRole('button', { name: 'New workshop' }).click();
    await first.page.getByText('No camera on the bench yet').waitFor();
    await newCamera(first.page);
    await first.page.getByRole('textbox', { name: 'Image area, width', exact: true }).fill('4 3/4"');
    await workshop(first.page).click();
    await first.page.getByRole('textbox', { name: 'Name' }).last().fill('Under the stairs');
    const downloading = first.page.waitForEvent('download');
    await first.page.getByRole('button', { name: 'Save as a file' }).click();
    const download = await downloading;
    expect(download.suggestedFilename()).toBe('under-the-stairs.workshop.json');
    const file = await download.path();
    const saved = JSON.parse(await readFile(file, 'utf8')) as { name: string; version: number };
    expect(saved).toMatchObject({ name: 'Under the stairs', version: 1 });

    const second = await stage.visit('camera');
    await workshop(second.page).click();
    const choosing = second.page.waitForEvent('filechooser');
    await second.page.getByRole('button', { name: 'Open a file' }).click();
    await (await choosing).setFiles(file);
    await second.page.getByText('Opened “Under the stairs”').waitFor();
    expect(await second.page.getByRole('textbox', { name: 'Image area, width', exact: true }).inputValue()).toBe('4 3/4"');
    await second.page.getByRole('button', { name: /^Back to/ }).click();
    await chooser(second.page).filter({ hasNotText: 'New camera' }).waitFor();
    await workshop(second.page).click();
    await second.page.getByRole('button', { name: 'Open Under the stairs' }).waitFor();
    expect([...first.complaints, ...second.complaints]).toEqual([]);
    await first.context.close();
    await second.context.close();
  });

  it('that is none is refused with a sentence, and nothing is lost', async () => {
    const { page, context } = await stage.visit('camera');
    const before = await page.locator('header').innerText();
    await page.setInputFiles('input[type=file][accept*=json]', {
      name: 'holiday.json',
      mimeType: 'application/json',
      buffer: Buffer.from('{"beach": true}'),
    });
    const notice = page.locator('.notice-place p');
    await notice.waitFor();
    expect((await notice.innerText()).length).toBeGreaterThan(20);
    expect(await page.locator('header').innerText()).toBe(before);
    await context.close();
  });
});

describe('the ground', () => {
  it('is chosen by the maker and remembered', async () => {
    const { page, context } = await stage.visit('camera');
    await workshop(page).click();
    await page.getByRole('radio', { name: 'Darkroom' }).check();
    const ground = (): Promise<string> => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
    expect(await ground()).toBe('rgb(0, 0, 0)');
    await page.reload();
    await page.locator('.answer').waitFor();
    expect(await ground()).toBe('rgb(0, 0, 0)');
    // Only red light: no colour on the page has any green or blue in it.
    const coloured = await page.evaluate(() =>
      [...document.querySelectorAll('body *')].flatMap((element) => {
        const style = getComputedStyle(element);
        return [style.color, style.backgroundColor, style.borderTopColor, style.fill, style.stroke].filter((colour) => {
          const parts = /^rgba?\((\d+), (\d+), (\d+)(?:, ([\d.]+))?/.exec(colour);
          return parts !== null && parts[4] !== '0' && (Number(parts[2]) > 0 || Number(parts[3]) > 0);
        });
      }),
    );
    expect([...new Set(coloured)]).toEqual([]);
    await context.close();
  });
});
