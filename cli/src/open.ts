/** `camerawright open`: serves the app on this machine until it is stopped, and opens it in the browser. */
import { fileURLToPath } from 'node:url';
import { InputError } from '#core';
import { openInBrowser, serve } from '#io/node';

export interface OpenOptions {
  readonly port?: string;
  /** False with `--no-browser`: the address is printed only. */
  readonly browser: boolean;
}

const APP = new URL('../app/', import.meta.url);

function parsePort(text: string): number {
  const port = Number(text);
  if (/^\d+$/.test(text.trim()) && Number.isInteger(port)) return port;
  throw new InputError('not-understood', `--port "${text}" is not a port. Give a number, like 8080.`, {
    path: 'port',
    got: text,
  });
}

/** Resolves when the server has been told to stop (Ctrl+C). */
export async function openCommand(options: OpenOptions): Promise<void> {
  const serving = await serve({
    root: fileURLToPath(APP),
    ...(options.port === undefined ? {} : { port: parsePort(options.port) }),
  });
  process.stdout.write(`\nCamerawright is open at ${serving.url} (stop it with Ctrl+C)\n`);
  if (serving.note !== null) process.stderr.write(`${serving.note}\n`);
  if (options.browser) await openInBrowser(serving.url);
  await new Promise<void>((resolve) => {
    for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => resolve());
  });
  await serving.close();
}
