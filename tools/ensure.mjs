/**
 * What must be there before anything runs: packages, the build, a browser for the tests.
 * Plain Node without dependencies, because it runs before they are installed.
 */
import { spawn, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, readFileSync, readdirSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const root = dirname(dirname(fileURLToPath(import.meta.url)));

/** Ends the program with one clear sentence instead of a stack trace. */
export function giveUp(sentence) {
  console.error(`\n${sentence}\n`);
  process.exit(1);
}

export function requireNode() {
  const [major, minor] = process.versions.node.split('.').map(Number);
  if (major < 20 || (major === 20 && minor < 19)) {
    giveUp(`Camerawright needs Node 20.19 or newer; this is ${process.version}. Install a newer Node and try again.`);
  }
}

/** Runs a command in the repository; returns its exit code. Output is shown unless `quiet`. */
export function run(command, args, options = {}) {
  const result = spawnSync(command, args, {
    cwd: root,
    stdio: options.quiet ? ['ignore', 'pipe', 'pipe'] : ['ignore', 'inherit', 'inherit'],
    env: { ...process.env, ...options.env },
    encoding: 'utf8',
    shell: process.platform === 'win32' && command === 'npm',
    maxBuffer: 64 * 1024 * 1024,
  });
  if (result.error) return { code: 127, output: String(result.error.message) };
  return { code: result.status ?? 1, output: `${result.stdout ?? ''}${result.stderr ?? ''}` };
}

/** Runs a command quietly while others run; resolves to its exit code and what it said. */
export function runBeside(command, args) {
  return new Promise((resolve) => {
    let output = '';
    const child = spawn(command, args, { cwd: root, stdio: ['ignore', 'pipe', 'pipe'] });
    for (const stream of [child.stdout, child.stderr]) stream.setEncoding('utf8').on('data', (text) => (output += text));
    child.on('error', (error) => resolve({ code: 127, output: error.message }));
    child.on('close', (code) => resolve({ code: code ?? 1, output }));
  });
}

function npm(args, options) {
  // npm itself tells where its program lies; calling it through node avoids every shell difference.
  const program = process.env.npm_execpath;
  return program && existsSync(program) && program.endsWith('.js')
    ? run(process.execPath, [program, ...args], options)
    : run('npm', args, options);
}

function hashOf(...files) {
  const hash = createHash('sha256');
  for (const file of files) hash.update(readFileSync(join(root, file)));
  return hash.digest('hex');
}

/** Installs the packages of the lock file when they are missing or the lock file has changed. */
export function ensureInstalled() {
  requireNode();
  const stamp = join(root, 'node_modules', '.camerawright-installed');
  const wanted = hashOf('package-lock.json');
  if (existsSync(stamp) && readFileSync(stamp, 'utf8') === wanted) return;
  console.error('Installing what is missing (once, about a minute) …');
  const { code, output } = npm(['ci', '--no-audit', '--no-fund', '--loglevel=error'], { quiet: true });
  if (code !== 0) {
    giveUp(
      `The packages could not be installed. The machine needs the npm registry once; afterwards everything works offline.\n${output.trim()}`,
    );
  }
  writeFileSync(stamp, wanted);
}

const BUILD_INPUTS = ['core/src', 'io/src', 'cli/src', 'app', 'demo', 'package.json', 'package-lock.json', 'tools/build.mjs'];

function fingerprint() {
  const hash = createHash('sha256');
  const walk = (path) => {
    if (!existsSync(path)) return;
    const stat = statSync(path);
    if (stat.isDirectory()) {
      for (const name of readdirSync(path).sort()) if (name !== 'node_modules') walk(join(path, name));
    } else if (!/\.test\.ts$/.test(path)) {
      hash.update(path.slice(root.length)).update(readFileSync(path));
    }
  };
  for (const input of BUILD_INPUTS) walk(join(root, input));
  return hash.digest('hex');
}

/** Builds dist/cli and dist/app when a source has changed since the last build. */
export function ensureBuilt() {
  const stamp = join(root, 'node_modules', '.camerawright-built');
  const wanted = fingerprint();
  const there = ['dist/cli/main.mjs', 'dist/app/index.html'].every((file) => existsSync(join(root, file)));
  if (there && existsSync(stamp) && readFileSync(stamp, 'utf8') === wanted) return;
  console.error('Building …');
  const { code, output } = run(process.execPath, ['tools/build.mjs'], { quiet: true });
  if (code !== 0) giveUp(`The build failed:\n${output.trim()}`);
  writeFileSync(stamp, wanted);
}

/** Installs packages of Debian where that is allowed; says the last lines of what went wrong. */
function aptInstall(...packages) {
  if (!existsSync('/usr/bin/apt-get')) return;
  const prefix = process.getuid?.() === 0 ? [] : ['sudo', '-n'];
  const apt = (...args) => {
    const [command, ...rest] = [...prefix, 'apt-get', ...args];
    return run(command, rest, { quiet: true, env: { DEBIAN_FRONTEND: 'noninteractive' } });
  };
  apt('update', '-qq');
  const { code, output } = apt('install', '-y', '-qq', '--no-install-recommends', ...packages);
  if (code !== 0) console.error(output.trim().split('\n').slice(-5).join('\n'));
}

/** Two readers of PDF, against which the sheets are measured; installs Debian's where there are none. */
export function ensurePdfReaders() {
  const missing = () =>
    [['pdftoppm', '-v'], ['pdftocairo', '-v'], ['gs', '--version']]
      .filter(([command, flag]) => run(command, [flag], { quiet: true }).code === 127)
      .map(([command]) => command);
  if (missing().length === 0) return;
  console.error('Installing poppler and ghostscript, which read the sheets in the tests (once) …');
  aptInstall('poppler-utils', 'ghostscript');
  if (missing().length === 0) return;
  giveUp(
    `The tests of the sheets need ${missing().join(', ')} and could not install it here. `
      + 'Install poppler and ghostscript (on Debian: sudo apt-get install poppler-utils ghostscript).',
  );
}

/** Path of a chromium for the end-to-end tests; installs Debian's where there is none and that is allowed. */
export function ensureChromium() {
  const find = () => {
    if (process.env.CHROMIUM) return process.env.CHROMIUM;
    for (const directory of (process.env.PATH ?? '').split(':').concat('/usr/bin', '/usr/local/bin', '/snap/bin')) {
      for (const name of ['chromium', 'chromium-browser']) {
        const path = join(directory, name);
        if (directory && existsSync(path)) return path;
      }
    }
    return null;
  };
  const found = find();
  if (found) return found;
  console.error('Installing chromium for the end-to-end tests (once) …');
  aptInstall('chromium', 'fonts-liberation');
  const installed = find();
  if (installed) return installed;
  return giveUp(
    'The end-to-end tests need a chromium and none could be installed here. ' +
      'Install one (on Debian: sudo apt-get install chromium), or name yours: CHROMIUM=/path/to/chromium npm test',
  );
}
