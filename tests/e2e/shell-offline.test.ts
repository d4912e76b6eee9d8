import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Stage } from './stage.ts';

describe('without a network', () => {
  let stage: Stage;
  beforeAll(async () => {
    stage = await Stage.raise();
  });
  afterAll(async () => {
    await stage.strike();
  });

  it('the second visit works: page, fonts, every room, still isolated', async () => {
    const { page, context, complaints } = await stage.visit('camera', { offline: true });
    await page.getByRole('button', { name: /^Workshop/ }).click();
    await page.getByText('Ready without a network').waitFor();
    await context.setOffline(true);
    for (const room of await page.getByRole('navigation', { name: 'Rooms' }).getByRole('link').allInnerTexts()) {
      await page.goto(`${stage.address}${room.toLowerCase()}`);
      await page.getByRole('main').locator('.answer').waitFor();
    }
    expect(await page.evaluate(() => crossOriginIsolated)).toBe(true);
    expect(await page.evaluate(() => [...document.fonts].filter(({ status }) => status === 'error').length)).toBe(0);
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('on a host that sends no headers of isolation', () => {
  let stage: Stage;
  beforeAll(async () => {
    stage = await Stage.raise({ isolated: false });
  });
  afterAll(async () => {
    await stage.strike();
  });

  it('the service worker adds them, after one reload', async () => {
    const { page, context } = await stage.visit('camera', { offline: true });
    await page.waitForFunction(() => crossOriginIsolated);
    await page.locator('.answer').waitFor();
    await context.close();
  });
});
