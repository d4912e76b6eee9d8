import { mkdir, mkdtemp, rm, symlink, writeFile } from 'node:fs/promises';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { brotliCompressSync, gunzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { serve } from './index.ts';
import type { Serving } from './index.ts';

interface Reply {
  readonly status: number;
  readonly headers: Readonly<Record<string, string | string[] | undefined>>;
  readonly body: Buffer;
}

let folder = '';
let serving: Serving;

/** Sends the path as it is: fetch would tidy it up before the server sees it. */
function ask(path: string, options: { method?: string; headers?: Record<string, string> } = {}): Promise<Reply> {
  return new Promise((resolve, reject) => {
    const { port } = serving;
    const call = request(
      { host: '127.0.0.1', port, path, method: options.method ?? 'GET', headers: options.headers ?? {} },
      (reply) => {
        const parts: Buffer[] = [];
        reply.on('data', (part: Buffer) => parts.push(part));
        reply.on('end', () =>
          resolve({ status: reply.statusCode!, headers: reply.headers, body: Buffer.concat(parts) }),
        );
      },
    );
    call.on('error', reject);
    call.end();
  });
}

const page = '<!doctype html><title>app</title>';
const script = `export const words = '${'hole '.repeat(1000)}';`;

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'serve-'));
  const root = join(folder, 'app');
  await mkdir(join(root, 'assets'), { recursive: true });
  await writeFile(join(folder, 'secret.txt'), 'secret');
  await mkdir(join(folder, 'app-beside'));
  await writeFile(join(folder, 'app-beside', 'secret.txt'), 'secret');
  await writeFile(join(root, 'index.html'), page);
  await writeFile(join(root, 'assets', 'main-Ab12Cd34.js'), script);
  await writeFile(join(root, 'vips.wasm'), Buffer.from([0, 0x61, 0x73, 0x6d]));
  await writeFile(join(root, 'packed.js'), 'plain');
  await writeFile(join(root, 'packed.js.br'), brotliCompressSync('plain'));
  await writeFile(join(root, 'app.webmanifest'), '{}');
  await writeFile(join(root, 'plate.png'), Buffer.alloc(3000));
  await symlink(join(folder, 'secret.txt'), join(root, 'link.txt'));
  serving = await serve({ root, port: 0 });
});

afterAll(async () => {
  await serving.close();
  await rm(folder, { recursive: true });
});

describe('what is served', () => {
  test('the page, with every header of isolation and policy', async () => {
    const { status, headers, body } = await ask('/');
    expect(status).toBe(200);
    expect(body.toString()).toBe(page);
    expect(headers['content-type']).toBe('text/html; charset=utf-8');
    expect(headers['cross-origin-opener-policy']).toBe('same-origin');
    expect(headers['cross-origin-embedder-policy']).toBe('require-corp');
    expect(headers['cross-origin-resource-policy']).toBe('same-origin');
    expect(headers['x-content-type-options']).toBe('nosniff');
    expect(headers['content-security-policy']).toContain("script-src 'self' 'wasm-unsafe-eval'");
    expect(headers['content-security-policy']).not.toContain('unsafe-inline');
    expect(headers['cache-control']).toBe('no-cache');
  });

  test('media types', async () => {
    expect((await ask('/vips.wasm')).headers['content-type']).toBe('application/wasm');
    expect((await ask('/app.webmanifest')).headers['content-type']).toContain('application/manifest+json');
    expect((await ask('/assets/main-Ab12Cd34.js')).headers['content-type']).toContain('text/javascript');
    expect((await ask('/plate.png')).headers['content-type']).toBe('image/png');
  });

  test('texts packed on the way for those who take it, pictures as they are', async () => {
    const packed = await ask('/assets/main-Ab12Cd34.js', { headers: { 'Accept-Encoding': 'gzip, br' } });
    expect(packed.headers['content-encoding']).toBe('gzip');
    expect(packed.body.length).toBeLessThan(script.length / 5);
    expect(gunzipSync(packed.body).toString()).toBe(script);
    expect(packed.headers['cache-control']).toContain('immutable');
    const plain = await ask('/assets/main-Ab12Cd34.js', { headers: { 'Accept-Encoding': 'gzip;q=0, identity' } });
    expect(plain.headers['content-encoding']).toBeUndefined();
    expect(plain.body.toString()).toBe(script);
    expect(
      (await ask('/plate.png', { headers: { 'Accept-Encoding': 'gzip' } })).headers['content-encoding'],
    ).toBeUndefined();
  });

  test('packed before, where the build has done it', async () => {
    const { headers, body } = await ask('/packed.js', { headers: { 'Accept-Encoding': 'gzip, br' } });
    expect(headers['content-encoding']).toBe('br');
    expect(body).toEqual(brotliCompressSync('plain'));
  });

  test('not sent again when unchanged', async () => {
    const first = await ask('/');
    const again = await ask('/', { headers: { 'If-None-Match': String(first.headers['etag']) } });
    expect(again.status).toBe(304);
    expect(again.body).toHaveLength(0);
    expect(again.headers['cross-origin-embedder-policy']).toBe('require-corp');
  });

  test('rooms get the page, missing files do not', async () => {
    expect((await ask('/plate')).body.toString()).toBe(page);
    const missing = await ask('/assets/gone-Ab12Cd34.js');
    expect(missing.status).toBe(404);
    expect(missing.headers['cross-origin-embedder-policy']).toBe('require-corp');
  });

  test('HEAD gives the headers only, other methods are refused', async () => {
    const head = await ask('/', { method: 'HEAD' });
    expect(head.status).toBe(200);
    expect(head.headers['content-length']).toBe(String(page.length));
    expect(head.body).toHaveLength(0);
    for (const method of ['POST', 'PUT', 'DELETE', 'OPTIONS']) {
      const { status, headers } = await ask('/', { method });
      expect(status).toBe(405);
      expect(headers['allow']).toBe('GET, HEAD');
    }
  });
});

describe('nothing outside the folder', () => {
  test.each([
    '/../secret.txt',
    '/..%2fsecret.txt',
    '/%2e%2e/secret.txt',
    '/assets/../../secret.txt',
    '/assets/..%2f..%2fsecret.txt',
    '/..\\secret.txt',
    '/..%5csecret.txt',
    '/../app-beside/secret.txt',
    '//secret.txt',
    '/link.txt',
    '/secret.txt%00.html',
    '/%E0%A4%A.txt',
  ])('%s', async (path) => {
    const { status, body } = await ask(path);
    expect(body.toString()).not.toContain('secret');
    expect(status).toBe(404);
  });

  test('nor for pages that point their own name here', async () => {
    expect((await ask('/', { headers: { Host: 'elsewhere.example' } })).status).toBe(403);
    expect((await ask('/', { headers: { Host: `localhost:${serving.port}` } })).status).toBe(200);
  });
});

describe('the port', () => {
  const root = (): string => join(folder, 'app');

  test('a preferred one is used when free, and another with a word when taken', async () => {
    const other = await serve({ root: root(), preferredPort: serving.port });
    expect(other.port).not.toBe(serving.port);
    expect(other.note).toContain(String(serving.port));
    const { port } = other;
    await other.close();
    const again = await serve({ root: root(), preferredPort: port });
    expect(again).toMatchObject({ port, note: null, url: `http://127.0.0.1:${port}/` });
    await again.close();
  });

  test('a given one is used or refused', async () => {
    await expect(serve({ root: root(), port: serving.port })).rejects.toMatchObject({
      name: 'InputError',
      code: 'conflict',
    });
    await expect(serve({ root: root(), port: 70000 })).rejects.toMatchObject({ code: 'out-of-range' });
  });

  test('an app that is not built is said to be', async () => {
    await expect(serve({ root: folder, port: 0 })).rejects.toMatchObject({ code: 'missing' });
  });
});
