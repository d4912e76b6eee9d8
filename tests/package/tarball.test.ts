/**
 * What a maker installs: the packed tarball in an empty folder, outside the repository, with every command run once
 * and the app fetched from it.
 */
import { execFile, spawn } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';

const run = promisify(execFile);
const root = join(import.meta.dirname, '../..');
const place = mkdtempSync(join(tmpdir(), 'camerawright-package-'));
const bin = join(place, 'prefix/bin/camerawright');
const demoScan = join(place, 'prefix/lib/node_modules/camerawright/dist/app/demo/scans/wb-1.png');

async function camerawright(...args: string[]): Promise<{ stdout: string; stderr: string }> {
  return run(bin, args, { cwd: place, maxBuffer: 1e8 });
}

beforeAll(async () => {
  await run('npm', ['pack', '--ignore-scripts', '--silent', '--pack-destination', place], { cwd: root });
  const tarball = readdirSync(place).find((name) => name.endsWith('.tgz'));
  if (tarball === undefined) throw new Error('npm pack made no tarball');
  await run(
    'npm',
    ['install', '--global', '--prefix', join(place, 'prefix'), '--prefer-offline', '--no-audit', '--no-fund', join(place, tarball)],
    { cwd: place },
  );
}, 240_000);

afterAll(() => rmSync(place, { recursive: true, force: true }));

describe('the packed tarball, installed to an empty prefix', () => {
  it('holds the command, the build and nothing else', async () => {
    const { stdout } = await run('npm', ['pack', '--dry-run', '--json', '--ignore-scripts'], { cwd: root });
    const [listing] = JSON.parse(stdout) as { files: { path: string }[] }[];
    const strangers = (listing?.files ?? []).filter(
      ({ path }) => !/^(bin\/|dist\/(cli|app)\/|package\.json$|README\.md$|LICENSE$)/.test(path),
    );
    expect(strangers).toEqual([]);
  });

  it('answers for a camera', async () => {
    const { stdout } = await camerawright('camera', '--frame', '127x102', '--focal-mm', '106', '--json');
    const answer = JSON.parse(stdout) as { angleDiagonalDeg: number; bestHole: { criterion: string; diameterUm: number }[] };
    expect(answer.angleDiagonalDeg).toBeCloseTo(75.1, 1);
    expect(answer.bestHole.find(({ criterion }) => criterion === 'detail-10')?.diameterUm).toBeCloseTo(429.4, 0);
  });

  it('measures a scan', async () => {
    const { stdout } = await camerawright('plate', demoScan, '--json', '--focal-mm', '135');
    const [entry] = JSON.parse(stdout) as { error: string | null; holes: { outlineDiameterUm: number; verdict: string }[] }[];
    expect(entry?.error).toBeNull();
    // The true outline of this rendered scan is 478.0 µm (demo/scans/truth.json); 0.2 % is the promise for a clean one.
    expect(Math.abs((entry?.holes[0]?.outlineDiameterUm ?? 0) / 478 - 1)).toBeLessThan(0.002);
    expect(entry?.holes[0]?.verdict).toBe('good');
  });

  it('answers for an exposure', async () => {
    const { stdout } = await camerawright('exposure', '--f-number', '250', '--ev', '15', '--iso', '100', '--json');
    const answer = JSON.parse(stdout) as { meteredS: number; correctedS: number };
    expect(answer.meteredS).toBeCloseTo(250 ** 2 / 2 ** 15, 9);
    expect(answer.correctedS).toBe(answer.meteredS);
  });

  it('does the main job on the demo in a few lines', async () => {
    const { stdout } = await camerawright('demo');
    expect(stdout).toMatch(/^hole .*0\.478/m);
    expect(stdout).toMatch(/^verdict .*good/m);
    expect(stdout).toMatch(/^f-number .*f\/28\d/m);
    expect(stdout).toMatch(/^exposure .*min/m);
  });

  it('serves the app, isolated', async () => {
    const app = spawn(bin, ['open', '--no-browser', '--port', '0'], { cwd: place });
    try {
      const url = await new Promise<string>((resolve, reject) => {
        app.stdout.on('data', (data: Buffer) => {
          const found = /http:\/\/127\.0\.0\.1:\d+\//.exec(String(data));
          if (found) resolve(found[0]);
        });
        app.on('exit', () => reject(new Error('the server ended')));
      });
      const page = await fetch(url);
      expect(page.status).toBe(200);
      expect(page.headers.get('cross-origin-opener-policy')).toBe('same-origin');
      expect(page.headers.get('cross-origin-embedder-policy')).toBe('require-corp');
      const script = /src="([^"]+\.js)"/.exec(await page.text())?.[1];
      expect((await fetch(new URL(script ?? 'missing', url))).headers.get('content-type')).toMatch(/javascript/);
      expect((await fetch(new URL('demo/demo.json', url))).status).toBe(200);
    } finally {
      app.kill('SIGTERM');
    }
  });

  it('tells a wrong call from an unusable input by its exit code', async () => {
    await expect(camerawright('exposure', '--f-number', '250', '--ev', '15', '--film', 'HP5 Plu')).rejects.toMatchObject({
      code: 2,
      stderr: expect.stringContaining('HP5 Plus') as string,
    });
    await expect(camerawright('plate', join(place, 'nothing.tif'), '--json')).rejects.toMatchObject({
      code: 1,
      stdout: expect.stringContaining('could not be read') as string,
    });
    await expect(camerawright('camera', '--no-such-option')).rejects.toMatchObject({ code: 2 });
  });
});
