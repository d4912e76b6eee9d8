/** The store in a real browser: two windows, reload, crash and a browser started anew, under the app's own policy. */
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { createServer } from 'node:http';
import type { Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import type { BrowserContext, Page } from 'playwright-core';
import { build } from 'vite';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
// Only its declaration of what the page offers.
import type {} from '../support/browser-store-page.ts';

const POLICY = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'";

let folder = '';
let server: Server;
let context: BrowserContext;
let address = '';
const complaints: string[] = [];

async function start(): Promise<BrowserContext> {
  return chromium.launchPersistentContext(join(folder, 'profile'), {
    executablePath: process.env['CHROMIUM'] || '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking'],
  });
}

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'browser-store-'));
  await build({
    configFile: false,
    logLevel: 'error',
    define: { 'process.env.NODE_ENV': '"production"' },
    build: {
      outDir: join(folder, 'page'),
      emptyOutDir: true,
      lib: { entry: join(import.meta.dirname, '../support/browser-store-page.ts'), formats: ['es'], fileName: () => 'page.js' },
    },
  });
  const script = await readFile(join(folder, 'page', 'page.js'));
  server = createServer((request, response) => {
    const isScript = request.url === '/page.js';
    response.setHeader('content-security-policy', POLICY);
    response.setHeader('content-type', isScript ? 'text/javascript' : 'text/html');
    response.end(isScript ? script : '<!doctype html><title>bench</title><script type="module" src="/page.js"></script>');
  });
  await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
  address = `http://127.0.0.1:${(server.address() as AddressInfo).port}/`;
  context = await start();
});

afterAll(async () => {
  await context?.close();
  server?.close();
  await rm(folder, { recursive: true, force: true });
});

async function bench(): Promise<Page> {
  const page = await context.newPage();
  page.on('console', (message) => {
    if (message.type() === 'error' && !message.text().includes('favicon')) complaints.push(message.text());
  });
  page.on('pageerror', (error) => complaints.push(error.message));
  await page.goto(address);
  await page.waitForFunction(() => 'bench' in window).catch((error: unknown) => {
    throw new Error(`the page did not start: ${complaints.join(' | ')}`, { cause: error });
  });
  await page.evaluate(async () => {
    window.bench.store = await window.bench.open();
  });
  return page;
}

const rename = (page: Page, name: string): Promise<void> =>
  page.evaluate(async (given) => {
    window.bench.store?.change('name', (draft) => void (draft.name = given));
    await window.bench.store?.flush();
  }, name);

const nameIn = (page: Page): Promise<string | undefined> => page.evaluate(() => window.bench.store?.read().name);

const addPlates = (page: Page, count: number): Promise<void> =>
  page.evaluate((wanted) => {
    for (let i = 0; i < wanted; i++) {
      window.bench.store?.change('plate', (draft) => void draft.plates.push({ id: window.bench.newId(), name: 'P', passes: [] }));
    }
  }, count);

const hasPlates = (page: Page, count: number): Promise<unknown> =>
  page.waitForFunction((wanted) => window.bench.store?.read().plates.length === wanted, count);

describe('the store in a real browser', () => {
  it('keeps what two windows do at once, through reload, crash and a new start', async () => {
    const one = await bench();
    await rename(one, 'Shed');
    const two = await bench();
    expect(await nameIn(two)).toBe('Shed');

    await Promise.all([addPlates(one, 20), addPlates(two, 20)]);
    await Promise.all([hasPlates(one, 40), hasPlates(two, 40)]);
    await rename(two, 'Attic');
    await one.waitForFunction(() => window.bench.store?.read().name === 'Attic');

    // A reload right after an edit, without waiting for anything but the edit itself.
    await rename(one, 'Loft');
    await one.reload();
    await one.waitForFunction(() => 'bench' in window);
    await one.evaluate(async () => {
      window.bench.store = await window.bench.open();
    });
    expect(await nameIn(one)).toBe('Loft');
    await hasPlates(one, 40);

    await rename(two, 'Cellar');
    await one.close();
    await two.goto('chrome://crash').catch(() => undefined);
    await two.close();
    const three = await bench();
    expect(await nameIn(three)).toBe('Cellar');

    await addPlates(three, 5);
    await three.evaluate(() => window.bench.store?.flush());
    await context.close();
    context = await start();
    const four = await bench();
    expect(await nameIn(four)).toBe('Cellar');
    await hasPlates(four, 45);
    expect(complaints).toEqual([]);
  });
});
