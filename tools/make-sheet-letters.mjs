/**
 * Makes the letters of the sheets from the bundled open font (Barlow, SIL OFL 1.1): the advance width of every
 * character for the layout, and the font files as text for the PDF. Run again when the font's version changes:
 * node tools/make-sheet-letters.mjs
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fontkit from '@pdf-lib/fontkit';
import { root } from './ensure.mjs';

const file = (part, weight) =>
  readFileSync(join(root, `node_modules/@fontsource/barlow/files/barlow-${part}-${weight}-normal.woff`));
const widths = {};
const files = {};
for (const weight of ['400', '600']) {
  const chars = {};
  for (const part of ['latin-ext', 'latin']) {
    const bytes = file(part, weight);
    files[`${part}-${weight}`] = bytes.toString('base64');
    const font = fontkit.create(bytes);
    for (const code of font.characterSet.filter((c) => c >= 0x20 && c < 0xfff0 && !(c >= 0x300 && c < 0x370))) {
      chars[String.fromCodePoint(code)] = font.glyphForCodePoint(code).advanceWidth;
    }
  }
  widths[weight] = chars;
}
writeFileSync(join(root, 'core/src/sheets/letter-widths.json'), `${JSON.stringify(widths)}\n`);
writeFileSync(join(root, 'core/src/sheets/letters.json'), `${JSON.stringify(files)}\n`);
