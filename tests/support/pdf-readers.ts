/** Independent readers of what the sheets write: poppler and ghostscript as programs, and a grey picture's ink. */
import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

export interface GreyPage {
  readonly widthPx: number;
  readonly heightPx: number;
  /** 0 white … 1 black at a place in mm from the lower left corner, by pixel. */
  inkAt(xPx: number, yPx: number): number;
}

/** Runs with a PDF in a folder of its own, which is gone afterwards. */
export function withPdf<Result>(bytes: Uint8Array, work: (file: string, folder: string) => Result): Result {
  const folder = mkdtempSync(join(tmpdir(), 'sheet-'));
  try {
    const file = join(folder, 'sheet.pdf');
    writeFileSync(file, bytes);
    return work(file, folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** One page as grey pixels; different resolutions per axis print it distorted. */
export function greyPage(file: string, page: number, xDpi: number, yDpi = xDpi): GreyPage {
  const pgm = execFileSync('pdftoppm', ['-gray', '-f', `${page}`, '-l', `${page}`, '-rx', `${xDpi}`, '-ry', `${yDpi}`, file], { maxBuffer: 256 * 1024 * 1024 });
  const head = /^P5\s+(\d+)\s+(\d+)\s+255\s/.exec(pgm.subarray(0, 40).toString('latin1'));
  if (head === null) throw new Error('pdftoppm gave no grey picture');
  const [all, width, height] = head;
  const [widthPx, heightPx, start] = [Number(width), Number(height), all.length];
  return {
    widthPx,
    heightPx,
    inkAt: (xPx, yPx) => (xPx < 0 || yPx < 0 || xPx >= widthPx || yPx >= heightPx ? 0 : 1 - (pgm[start + yPx * widthPx + xPx] ?? 255) / 255),
  };
}

/** Every number of the paths of a page in mm from its lower left corner, as another program reads the PDF. */
export function pathsOf(file: string, page: number): readonly (readonly (readonly [number, number])[])[] {
  const svg = execFileSync('pdftocairo', ['-svg', '-origpagesizes', '-noshrink', '-nocenter', '-f', `${page}`, '-l', `${page}`, file, '-'], { encoding: 'utf8', maxBuffer: 64 * 1024 * 1024 });
  const height = Number(/height="([\d.]+)(?:pt)?"/.exec(svg)?.[1]);
  const drawn = svg.slice(svg.indexOf('</defs>'));
  return [...drawn.matchAll(/<path[^>]*? d="([^"]+)"[^>]*?>/g)].map(([tag, d]) => {
    const matrix = /transform="matrix\(([^)]+)\)"/.exec(tag)?.[1]?.split(/[ ,]+/).map(Number) ?? [1, 0, 0, 1, 0, 0];
    const numbers = (d ?? '').match(/-?[\d.]+(?:e-?\d+)?/g)?.map(Number) ?? [];
    const places: (readonly [number, number])[] = [];
    for (let i = 0; i + 1 < numbers.length; i += 2) {
      const [x, y] = [numbers[i]!, numbers[i + 1]!];
      const [px, py] = [matrix[0]! * x + matrix[2]! * y + matrix[4]!, matrix[1]! * x + matrix[3]! * y + matrix[5]!];
      places.push([(px * 25.4) / 72, ((height - py) * 25.4) / 72]);
    }
    return places;
  });
}

/** What a program says about a PDF on its error channel, and its exit code; nothing and 0 when it is content. */
export function complaintsOf(command: string, args: readonly string[]): string {
  const { status, stderr, stdout } = spawnSync(command, args, { encoding: 'utf8', maxBuffer: 64 * 1024 * 1024 });
  const words = `${stderr}${command === 'gs' ? stdout : ''}`.trim();
  return status === 0 ? words : `exit ${status}: ${words}`;
}

export function textOf(file: string): string {
  return execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8', maxBuffer: 64 * 1024 * 1024 });
}

