import { spawn } from 'node:child_process';

/** The platform's own way to open an address with the program that the person chose for it. */
function opener(url: string, platform: NodeJS.Platform): { command: string; args: string[] } {
  if (platform === 'darwin') return { command: 'open', args: [url] };
  if (platform === 'win32') return { command: 'cmd', args: ['/c', 'start', '""', url] };
  return { command: 'xdg-open', args: [url] };
}

/**
 * Opens an address in the person's browser. A computer without one is no error: the address is printed anyway.
 * @returns whether the opening program could be started
 */
export function openInBrowser(url: string): Promise<boolean> {
  const { command, args } = opener(url, process.platform);
  return new Promise((resolve) => {
    try {
      const child = spawn(command, args, { stdio: 'ignore', detached: true });
      child.once('error', () => resolve(false));
      child.once('spawn', () => {
        child.unref();
        resolve(true);
      });
    } catch {
      resolve(false);
    }
  });
}
