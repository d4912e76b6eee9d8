/** Drawings as pictures at the command line: letters as outlines of the house's own face, and SVG made into PNG. */
import fontkit from '@pdf-lib/fontkit';
import face from '@fontsource/barlow/files/barlow-latin-400-normal.woff?inline';
import { FormatError } from '#core';
import { vipsLibrary } from './image-source.ts';

/** A text as an outline: no machine needs the face to draw it. */
export interface TextOutline {
  /** SVG path data, from the left end of the base line. */
  readonly path: string;
  readonly widthPx: number;
}

export type Letters = (text: string, sizePx: number) => TextOutline;

interface Command {
  readonly command: string;
  /** x, y, x, y … in units of the face, y up. */
  readonly args: readonly number[];
}

/** The letters of the face that the app and the sheets use. */
export function barlowLetters(): Letters {
  const font = fontkit.create(Buffer.from(face.slice(face.indexOf(',') + 1), 'base64'));
  return (text, sizePx) => {
    const scale = sizePx / font.unitsPerEm;
    const run = font.layout(text);
    let x = 0;
    const parts: string[] = [];
    for (const [i, glyph] of run.glyphs.entries()) {
      const place = run.positions[i];
      const left = x + (place?.xOffset ?? 0);
      // the list of commands is public in fact, though not in its types
      const { commands } = glyph.path as unknown as { readonly commands: readonly Command[] };
      for (const { command, args } of commands) {
        const points = args.map((value, k) => ((k % 2 === 0 ? left + value : -value) * scale).toFixed(2));
        parts.push(`${LETTERS[command] ?? ''}${points.join(' ')}`);
      }
      x += place?.xAdvance ?? glyph.advanceWidth;
    }
    return { path: parts.join(''), widthPx: x * scale };
  };
}

const LETTERS: Readonly<Record<string, string>> = { moveTo: 'M', lineTo: 'L', quadraticCurveTo: 'Q', bezierCurveTo: 'C', closePath: 'Z' };

/**
 * An SVG without letters (see `barlowLetters`) as PNG.
 * @param scale pixels for each unit of the drawing, > 0
 * @throws FormatError damaged when the drawing cannot be read
 */
export async function pngOfSvg(svg: string, scale: number): Promise<Uint8Array> {
  const vips = await vipsLibrary({ drawings: true });
  try {
    const image = vips.Image.svgloadBuffer(new TextEncoder().encode(svg), { scale });
    try {
      return image.writeToBuffer('.png');
    } finally {
      image.delete();
    }
  } catch (error) {
    throw new FormatError('damaged', `The drawing could not be made into a picture (${error instanceof Error ? error.message : String(error)}).`);
  }
}
