/**
 * The built app on a stage: the app's own server, a chromium, a fresh person with empty storage for every test,
 * and an ear for everything the page complains about.
 */
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { serve } from '#io/node';
import type { Serving } from '#io/node';

/** Where the built app lies; APP_DIST points elsewhere while several builds are compared. */
const built = process.env['APP_DIST'] ?? fileURLToPath(new URL('../../dist/app', import.meta.url));

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

  /** @param options `isolated: false` serves as a bare host would, for the fallbacks */
  static async raise(options: { readonly isolated?: boolean } = {}): Promise<Stage> {
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
      readonly scale?: number;
      readonly touch?: boolean;
      /** With the service worker, which keeps the whole app for use without a network. */
      readonly offline?: boolean;
      /** The real first visit, with the demo workshop. */
      readonly demo?: boolean;
      /** Lies on the bench instead of nothing, as the content of a workshop file. */
      readonly workshop?: unknown;
    } = {},
  ): Promise<Visit> {
    const context = await this.#browser.newContext({
      viewport: options.size ?? { width: 1440, height: 900 },
      deviceScaleFactor: options.scale ?? 1,
      hasTouch: options.touch ?? false,
      reducedMotion: 'reduce',
      serviceWorkers: options.offline === true ? 'allow' : 'block',
    });
    context.setDefaultTimeout(150_000);
    if (options.demo !== true) {
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
