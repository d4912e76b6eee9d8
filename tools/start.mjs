/**
 * `npm start`: installs what is missing, builds, does the main job on the demo in the terminal,
 * then serves the app. `npm start -- --once` ends after the answer in the terminal.
 */
import { spawn } from 'node:child_process';
import { ensureBuilt, ensureInstalled, root, run } from './ensure.mjs';

ensureInstalled();
ensureBuilt();

const args = process.argv.slice(2);
const answer = run(process.execPath, ['bin/camerawright.mjs', 'demo']);
if (answer.code !== 0) process.exit(answer.code);
if (!args.includes('--once')) {
  const app = spawn(process.execPath, ['bin/camerawright.mjs', 'open', ...args], { cwd: root, stdio: 'inherit' });
  app.on('exit', (code) => process.exit(code ?? 0));
  for (const signal of ['SIGINT', 'SIGTERM']) process.on(signal, () => app.kill(signal));
}
