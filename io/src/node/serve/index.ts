/** The server of the app: static files on this computer only, with the headers that isolation needs. */
import { createServer } from 'node:http';
import type { IncomingMessage, Server, ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { stat } from 'node:fs/promises';
import { join } from 'node:path';
import { InputError } from '#core';
import { FileShelf } from './files.ts';
import { FIXED_HEADERS, cacheControl, mediaType } from './headers.ts';

export { openInBrowser } from './browser.ts';

/**
 * The port used unless another is asked for. What a browser keeps belongs to the address with its port: on another
 * port the maker's workshop would seem lost.
 */
export const DEFAULT_PORT = 27106;
const HOST = '127.0.0.1';

export interface ServeOptions {
  /** Folder of the built app. */
  readonly root: string;
  /** This port and no other. */
  readonly port?: number;
  /** The port to be used when it is free: the one used last time. Default `DEFAULT_PORT`. */
  readonly preferredPort?: number;
  /** Serves the app without isolation, as a bare host would: for tests of the fallbacks. */
  readonly isolated?: boolean;
}

export interface Serving {
  readonly url: string;
  readonly port: number;
  /** A sentence for the maker when the usual port was taken, else null. */
  readonly note: string | null;
  close(): Promise<void>;
}

/**
 * @throws InputError missing when the app is not built, conflict when the given port is taken, out-of-range
 */
export async function serve(options: ServeOptions): Promise<Serving> {
  await requireApp(options.root);
  const shelf = new FileShelf(options.root);
  const server = createServer((request, response) => {
    answer(shelf, request, response, options.isolated ?? true).catch(() => {
      if (!response.headersSent) response.writeHead(500, FIXED_HEADERS);
      response.end();
    });
  });
  const { port, note } = await listenSomewhere(server, options);
  return {
    url: `http://${HOST}:${port}/`,
    port,
    note,
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      }),
  };
}

async function requireApp(root: string): Promise<void> {
  const page = await stat(join(root, 'index.html')).catch(() => null);
  if (!page?.isFile()) {
    throw new InputError(
      'missing',
      `The app is not built: ${join(root, 'index.html')} is missing. Run npm run setup.`,
      {
        path: 'root',
        got: root,
      },
    );
  }
}

async function listenSomewhere(server: Server, options: ServeOptions): Promise<{ port: number; note: string | null }> {
  if (options.port !== undefined) {
    if (!(Number.isInteger(options.port) && options.port >= 0 && options.port <= 65535)) {
      throw new InputError('out-of-range', `${options.port} is not a port: give a whole number from 1 to 65535.`, {
        path: 'port',
        got: options.port,
        expected: '1…65535',
      });
    }
    const port = await listen(server, options.port);
    if (port === null) {
      throw new InputError(
        'conflict',
        `Port ${options.port} is in use or not allowed. Choose another, or leave it out.`,
        {
          path: 'port',
          got: options.port,
        },
      );
    }
    return { port, note: null };
  }
  const preferred = options.preferredPort ?? DEFAULT_PORT;
  const port = await listen(server, preferred);
  if (port !== null) return { port, note: null };
  const free = await listen(server, 0);
  if (free === null) {
    throw new InputError('conflict', 'No port is free on this computer. Close other programs and try again.', {
      path: 'port',
    });
  }
  return {
    port: free,
    note:
      `Port ${preferred} is in use, perhaps by this program in another window; serving on ${free}. A browser keeps ` +
      'workshops by address: those from the usual one are not shown here.',
  };
}

/** The port listened on, or null when it is taken. */
function listen(server: Server, port: number): Promise<number | null> {
  return new Promise((resolve, reject) => {
    const failed = (error: NodeJS.ErrnoException): void => {
      server.removeListener('listening', listening);
      if (error.code === 'EADDRINUSE' || error.code === 'EACCES') resolve(null);
      else reject(error);
    };
    const listening = (): void => {
      server.removeListener('error', failed);
      resolve((server.address() as AddressInfo).port);
    };
    server.once('error', failed);
    server.once('listening', listening);
    server.listen(port, HOST);
  });
}

async function answer(
  shelf: FileShelf,
  request: IncomingMessage,
  response: ServerResponse,
  isolated: boolean,
): Promise<void> {
  const headers: Record<string, string> = { ...FIXED_HEADERS };
  if (!isolated) {
    delete headers['Cross-Origin-Opener-Policy'];
    delete headers['Cross-Origin-Embedder-Policy'];
  }
  const refuse = (status: number, words: string, more: Record<string, string> = {}): void => {
    response.writeHead(status, { ...headers, ...more, 'Content-Type': 'text/plain; charset=utf-8' });
    response.end(request.method === 'HEAD' ? undefined : words);
  };
  // A page elsewhere could point its own name at this computer and read through it: only our own names are answered.
  if (!isLocalName(request.headers.host)) return refuse(403, 'Only for this computer.');
  if (request.method !== 'GET' && request.method !== 'HEAD') {
    return refuse(405, 'Only reading is possible.', { Allow: 'GET, HEAD' });
  }
  const pathname = (request.url ?? '/').split(/[?#]/, 1)[0]!;
  if (!pathname.startsWith('/')) return refuse(400, 'Not an address.');
  const accepted = String(request.headers['accept-encoding'] ?? '');
  const accepts = (encoding: string): boolean =>
    new RegExp(`(^|[\\s,])${encoding}(?!\\s*;\\s*q=0(\\.0*)?\\s*(,|$))`).test(accepted);
  const file =
    (await shelf.find(pathname, accepts)) ??
    // Addresses of rooms are answered by the page itself; a missing file is missing.
    (/\.[^/]*$/.test(pathname) ? null : await shelf.find('/index.html', accepts));
  if (!file) return refuse(404, 'There is no such file.');
  headers['Content-Type'] = mediaType(file.path);
  headers['Cache-Control'] = cacheControl(file.path);
  headers['ETag'] = file.tag;
  headers['Vary'] = 'Accept-Encoding';
  if (request.headers['if-none-match'] === file.tag) {
    response.writeHead(304, headers);
    response.end();
    return;
  }
  if (file.encoding) headers['Content-Encoding'] = file.encoding;
  headers['Content-Length'] = String(file.bytes.length);
  response.writeHead(200, headers);
  response.end(request.method === 'HEAD' ? undefined : file.bytes);
}

function isLocalName(host: string | undefined): boolean {
  return host !== undefined && /^(127\.0\.0\.1|localhost|\[::1\])(:\d+)?$/.test(host);
}
