import { appendFile, cp, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Stage, built } from './stage.ts';

const workshop = (page: Page) => page.getByRole('button', { name: /^Workshop/ });

describe('on a device of one’s own', () => {
  let stage: Stage;
  let root: string;
  beforeAll(async () => {
    // A copy, to be updated under the eyes of the page.
    root = await mkdtemp(join(tmpdir(), 'camerawright-app-'));
    await cp(built, root, { recursive: true });
    stage = await Stage.raise({ root });
  });
  afterAll(async () => {
    await stage.strike();
    await rm(root, { recursive: true, force: true });
  });

  it('can be installed: the browser has no objection, and the manifest says only what is there', async () => {
    const { page, context } = await stage.visit('camera');
    const browser = await context.newCDPSession(page);
    const { installabilityErrors } = await browser.send('Page.getInstallabilityErrors');
    // Every person of these tests is an incognito one.
    expect(installabilityErrors.map(({ errorId }) => errorId).filter((id) => id !== 'in-incognito')).toEqual([]);
    const { url, data, errors } = await browser.send('Page.getAppManifest');
    expect(errors).toEqual([]);
    const manifest = JSON.parse(data ?? '{}') as { start_url: string; scope: string; display: string; icons: { src: string; sizes: string; type: string; purpose: string }[] };
    expect(manifest.display).toBe('standalone');
    const start = new URL(manifest.start_url, url);
    expect(start.href.startsWith(new URL(manifest.scope, url).href)).toBe(true);
    expect((await fetch(start)).ok).toBe(true);
    for (const { src, sizes, type } of manifest.icons) {
      const answer = await fetch(new URL(src, url));
      expect(answer.headers.get('content-type'), src).toContain(type);
      if (type === 'image/png') {
        const bytes = new DataView(await answer.arrayBuffer());
        // PNG (ISO/IEC 15948) 11.2.2: width and height stand at 16 and 20
        expect(`${bytes.getUint32(16)}x${bytes.getUint32(20)}`, src).toBe(sizes);
      }
    }
    expect(manifest.icons.some(({ sizes, purpose }) => sizes === '512x512' && purpose === 'maskable')).toBe(true);
    await context.close();
  });

  it('says when it is ready offline; the second visit works without a network, every room, still isolated; a newer version is said and loses nothing', async () => {
    const { page, context, complaints } = await stage.visit('camera', { offline: true });
    await page.getByText('Ready offline: from now on this page opens here without a network.').waitFor();
    await workshop(page).click();
    await page.getByText('Ready without a network').waitFor();
    await page.getByRole('region', { name: 'Workshop' }).getByRole('textbox', { name: 'Name' }).fill('Bench by the window');
    await page.getByText('Saved on this device').waitFor();
    await context.setOffline(true);
    for (const room of await page.getByRole('navigation', { name: 'Rooms' }).getByRole('link').allInnerTexts()) {
      await page.goto(`${stage.address}${room.toLowerCase()}`);
      await page.getByRole('main').locator('.answer').waitFor();
    }
    expect(await page.evaluate(() => crossOriginIsolated)).toBe(true);
    expect(await page.evaluate(() => [...document.fonts].filter(({ status }) => status === 'error').length)).toBe(0);
    // Said once and for all, not at every visit.
    expect(await page.getByText('Ready offline').count()).toBe(0);

    await context.setOffline(false);
    await appendFile(join(root, 'service-worker.js'), '\n// the next version\n');
    await page.evaluate(async () => void (await (await navigator.serviceWorker.ready).update()));
    await workshop(page).click();
    await page.getByText('A newer version is on this device; it opens once all windows of this one are closed.').waitFor();
    expect(await page.evaluate(async () => (await navigator.serviceWorker.ready).waiting !== null)).toBe(true);
    await page.close();
    const next = await context.newPage();
    await next.goto(`${stage.address}camera`);
    await next.locator('.answer').waitFor();
    await expect.poll(() => next.evaluate(async () => (await navigator.serviceWorker.ready).waiting)).toBe(null);
    await workshop(next).click();
    expect(await next.getByRole('region', { name: 'Workshop' }).getByRole('textbox', { name: 'Name' }).inputValue()).toBe('Bench by the window');
    expect(await next.getByText('A newer version').count()).toBe(0);
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
