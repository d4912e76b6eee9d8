/**
 * The built app on a stage: the app's own server, a chromium, a fresh person with empty storage for every test,
 * and an ear for everything the page complains about.
 */
import { fileURLToPath } from 'node:url';
import AxeBuilder from '@axe-core/playwright';
import { chromium } from 'playwright-core';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { expect } from 'vitest';
import { serve } from '#io/node';
import type { Serving } from '#io/node';

/** Where the built app lies; APP_DIST points elsewhere while several builds are compared. */
export const built = process.env['APP_DIST'] ?? fileURLToPath(new URL('../../dist/app', import.meta.url));

/** In place of the demo, whose plates would be measured in the background of every test. */
const emptyBench = {
  format: 'camerawright-workshop',
  version: 1,
  id: '0193a000-0000-7000-8000-0000000000aa',
  name: 'Empty bench',
  createdAt: '2026-01-02T03:04:05Z',
};

export const sizes = [
  { width: 1440, height: 900 },
  { width: 1024, height: 768 },
  { width: 390, height: 844 },
] as const;

export interface Visit {
  readonly page: Page;
  readonly context: BrowserContext;
  /** Errors and warnings of the console, failed requests and uncaught exceptions, so far. */
  readonly complaints: string[];
}

export class Stage {
  readonly #serving: Serving;
  readonly #browser: Browser;

  private constructor(serving: Serving, browser: Browser) {
    this.#serving = serving;
    this.#browser = browser;
  }

  /** @param options `isolated: false` serves as a bare host would, for the fallbacks; `root` another folder than the build's */
  static async raise(options: { readonly isolated?: boolean; readonly root?: string } = {}): Promise<Stage> {
    const serving = await serve({ root: built, ...options });
    const browser = await chromium.launch({
      executablePath: process.env['CHROMIUM'] || '/usr/bin/chromium',
      args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking'],
    });
    return new Stage(serving, browser);
  }

  get address(): string {
    return new URL('/', this.#serving.url).href;
  }

  /** A new person with empty storage. */
  async visit(
    path: string,
    options: {
      readonly size?: { readonly width: number; readonly height: number };
      readonly touch?: boolean;
      /** With the service worker, which keeps the whole app for use without a network. */
      readonly offline?: boolean;
      /** The real first visit, with the demo workshop; or with only these of its plates to be measured. */
      readonly demo?: boolean | readonly string[];
      /** Requests that never get an answer: what a journey is not about, but the machine would work on. */
      readonly holdBack?: string;
      /** Lies on the bench instead of nothing, as the content of a workshop file. */
      readonly workshop?: unknown;
    } = {},
  ): Promise<Visit> {
    const context = await this.#browser.newContext({
      viewport: options.size ?? { width: 1440, height: 900 },
      hasTouch: options.touch ?? false,
      reducedMotion: 'reduce',
      serviceWorkers: options.offline === true ? 'allow' : 'block',
    });
    context.setDefaultTimeout(150_000);
    if (options.holdBack !== undefined) {
      await context.route(options.holdBack, () => undefined);
    }
    const wanted = options.demo;
    if (Array.isArray(wanted)) {
      await context.route('**/demo/demo.json', async (route) => {
        const demo = (await (await route.fetch()).json()) as { plates: { name: string }[] };
        await route.fulfill({ json: { ...demo, plates: demo.plates.filter(({ name }) => wanted.includes(name)) } });
      });
    } else if (wanted !== true) {
      await context.route('**/demo/demo-workshop.json', (route) => route.fulfill({ json: options.workshop ?? emptyBench }));
    }
    const page = await context.newPage();
    const complaints: string[] = [];
    page.on('console', (message) => {
      const byTheStage = message.text().includes('Service Worker registration blocked');
      if (!byTheStage && (message.type() === 'error' || message.type() === 'warning')) {
        complaints.push(`${message.type()}: ${message.text()}`);
      }
    });
    page.on('pageerror', (error) => complaints.push(`exception: ${error.message}`));
    await page.goto(`${this.address}${path}`);
    await page.locator('.answer').waitFor();
    return { page, context, complaints };
  }

  async strike(): Promise<void> {
    await this.#browser.close();
    await this.#serving.close();
  }
}

/**
 * Nothing axe objects to, on the grounds named. No page of ours has a frame: without the second page that axe would
 * open for those, it finds the same at a third of the cost.
 */
export async function expectNoFaults(
  page: Page,
  { themes = ['paper'], include, exclude }: { readonly themes?: readonly string[]; readonly include?: string; readonly exclude?: string } = {},
): Promise<void> {
  for (const theme of themes) {
    await page.evaluate((name) => (document.documentElement.dataset['theme'] = name), theme);
    const axe = new AxeBuilder({ page }).setLegacyMode(true);
    if (include !== undefined) axe.include(include);
    if (exclude !== undefined) axe.exclude(exclude);
    const { violations } = await axe.analyze();
    const found = violations.map(({ id, nodes }) => `${theme}, ${id}: ${nodes.map(({ html }) => html.slice(0, 160)).join(' | ')}`);
    expect(found, `${page.viewportSize()?.width} px`).toEqual([]);
  }
  await page.evaluate(() => (document.documentElement.dataset['theme'] = 'paper'));
}

/** Nothing to scroll sideways to, once the drawings have followed the width, which takes them a frame. */
export async function expectNothingSideways(page: Page, where = `${page.viewportSize()?.width} px`): Promise<void> {
  const over = await page.evaluate(async () => {
    for (let frame = 0; frame < 2; frame += 1) {
      await new Promise(requestAnimationFrame);
    }
    return Math.max(0, document.documentElement.scrollWidth - innerWidth);
  });
  expect(over, where).toBe(0);
}

/** Read by everybody: nothing axe objects to at any size on any ground, nothing sideways, not even at 200 %. */
export async function expectReadable(
  page: Page,
  { exclude, also }: { readonly exclude?: string; readonly also?: (widthPx: number) => Promise<void> } = {},
): Promise<void> {
  for (const size of sizes) {
    await page.setViewportSize(size);
    // Contrast depends on the ground, not on the size: every ground once, paper everywhere.
    const themes = size.width > 1200 ? ['paper', 'night', 'darkroom'] : ['paper'];
    await expectNoFaults(page, { themes, ...(exclude !== undefined && { exclude }) });
    await expectNothingSideways(page);
    await also?.(size.width);
  }
  await zoomed(page, { width: 640, height: 450 });
  expect(await page.evaluate(() => [innerWidth, devicePixelRatio])).toEqual([640, 2]);
  await expectNothingSideways(page, '200 %');
}

/** The page at 200 %: half as many lengths in the window, each of two pixels. */
async function zoomed(page: Page, size: { readonly width: number; readonly height: number }): Promise<void> {
  const session = await page.context().newCDPSession(page);
  await session.send('Emulation.setDeviceMetricsOverride', { ...size, deviceScaleFactor: 2, mobile: false });
}

/** Puts a new camera without any numbers on the bench. */
export async function newCamera(page: Page): Promise<void> {
  await page.getByRole('button', { name: /^Camera on the bench/ }).click();
  await page.getByRole('region', { name: 'Camera on the bench' }).getByRole('button', { name: 'New camera', exact: true }).last().click();
  await page.getByText('Begin with the film').first().waitFor();
}

/** The answer sentence as text, once it holds what is awaited. */
export async function answerWith(page: Page, part: string | RegExp): Promise<string> {
  const sentence = page.locator('.answer .sentence').filter({ hasText: part });
  await sentence.waitFor();
  return (await sentence.innerText()).replace(/\s+/g, ' ');
}
