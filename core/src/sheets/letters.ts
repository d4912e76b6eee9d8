/**
 * How wide words are, from the advance widths of the bundled open face (Barlow, SIL OFL 1.1; no kerning, no ligatures),
 * so that layout, SVG, PDF and the tests of "no text over a line" measure the same.
 */
import widths from './letter-widths.json' with { type: 'json' };

/** Units of the face per em. */
const UNITS_PER_EM = 1000;
/** Height of capitals and depth of descenders, shares of the em; from the face. */
export const CAP_HEIGHT_EM = 0.7;
export const DESCENT_EM = 0.2;
export const ASCENT_EM = 0.74;

const REGULAR: Readonly<Record<string, number>> = widths['400'];
const SEMIBOLD: Readonly<Record<string, number>> = widths['600'];

/** A sign that the face lacks, in signs that it has. */
const STAND_INS: Readonly<Record<string, string>> = {
  '⌀': 'Ø', '‡': '§', '→': '>', '←': '<', '≥': 'at least ', '≤': 'at most ', '√': 'root ', 'λ': 'lambda', '′': "'", '″': '"',
  '\u00a0': ' ', '\u202f': ' ', '\u2009': ' ', '≈': 'about ', 'π': 'pi', 'μ': 'µ', '‑': '-', 'Ω': 'Ohm', '\t': ' ', '\n': ' ',
};

/** The text in letters that the face can print; a letter it lacks becomes `?`. */
export function printable(text: string): string {
  return [...text.normalize('NFC')]
    .map((char) => (REGULAR[char] === undefined ? (STAND_INS[char] ?? '?') : char))
    .join('');
}

/** @param sizeMm of the em, > 0 */
export function textWidthMm(text: string, sizeMm: number, bold = false): number {
  const face = bold ? SEMIBOLD : REGULAR;
  let units = 0;
  for (const char of text) units += face[char] ?? face['?'] ?? 0;
  return (units * sizeMm) / UNITS_PER_EM;
}

/** The text, cut with an ellipsis where it is wider than the room for it. */
export function fitted(text: string, sizeMm: number, roomMm: number, bold = false): string {
  const whole = printable(text);
  if (textWidthMm(whole, sizeMm, bold) <= roomMm) return whole;
  const chars = [...whole];
  while (chars.length > 0 && textWidthMm(`${chars.join('')}…`, sizeMm, bold) > roomMm) chars.pop();
  return `${chars.join('').trimEnd()}…`;
}

/** Lines no wider than the room; a word wider than that is broken. */
export function wrapped(text: string, sizeMm: number, roomMm: number, bold = false): readonly string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of printable(text).split(' ').flatMap((one) => broken(one, sizeMm, roomMm, bold))) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (line !== '' && textWidthMm(longer, sizeMm, bold) > roomMm) {
      lines.push(line);
      line = word;
    } else line = longer;
  }
  return [...lines, line];
}

function broken(word: string, sizeMm: number, roomMm: number, bold: boolean): readonly string[] {
  if (textWidthMm(word, sizeMm, bold) <= roomMm) return [word];
  const parts: string[] = [];
  let part = '';
  for (const char of word) {
    if (part !== '' && textWidthMm(part + char, sizeMm, bold) > roomMm) {
      parts.push(part);
      part = '';
    }
    part += char;
  }
  return [...parts, part];
}
