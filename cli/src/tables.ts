/** Tables that a person wrote: comma, semicolon or tab, with or without quotes, columns found by their heads. */
import { readFile } from 'node:fs/promises';
import { FormatError, InputError } from '#core';

/** The text of a file named by an option. */
export async function readText(path: string, option: string): Promise<string> {
  return readFile(path, 'utf8').catch(() => {
    throw new InputError('missing', `${option}: ${path} could not be read. Check the name and the folder.`, {
      path: option,
      got: path,
    });
  });
}

/** One line: cells by the name of their column, in lower case with underscores. */
export interface TableLine {
  readonly line: number;
  readonly cells: ReadonlyMap<string, string>;
}

/** Most lines a table may have: far above any class or log, far below what would hang. */
const MAX_LINES = 100_000;

function separatorOf(head: string): string {
  const counts = [',', ';', '\t'].map((mark) => ({ mark, count: head.split(mark).length }));
  return counts.reduce((best, other) => (other.count > best.count ? other : best)).mark;
}

/** Cells of the whole text; a quoted cell may hold the mark, a line end, or a doubled quote. */
function cellsOf(text: string, mark: string): { readonly line: number; readonly cells: string[] }[] {
  const rows: { line: number; cells: string[] }[] = [];
  let line = 1;
  let row: { line: number; cells: string[] } = { line, cells: [] };
  let cell = '';
  let quoted = false;
  const endRow = (): void => {
    row.cells.push(cell.trim());
    cell = '';
    if (row.cells.some((content) => content !== '')) rows.push(row);
    row = { line, cells: [] };
  };
  for (let i = 0; i < text.length; i++) {
    const character = text[i] ?? '';
    if (character === '\n') line++;
    if (quoted) {
      if (character === '"' && text[i + 1] === '"') {
        cell += '"';
        i++;
      } else if (character === '"') quoted = false;
      else cell += character;
    } else if (character === '"' && cell.trim() === '') {
      cell = '';
      quoted = true;
    } else if (character === mark) {
      row.cells.push(cell.trim());
      cell = '';
    } else if (character === '\n' || (character === '\r' && text[i + 1] !== '\n')) endRow();
    else if (character !== '\r') cell += character;
  }
  if (quoted) {
    throw new FormatError('truncated', `Line ${row.line}: a quoted cell is not closed.`, { at: `line ${row.line}` });
  }
  line++;
  endRow();
  return rows;
}

/**
 * A table with a head, lines that begin with # left out.
 * @param text the whole file
 * @param what how to name it in messages
 * @throws FormatError truncated, not-understood, too-large
 */
export function readTable(text: string, what: string): TableLine[] {
  const plain = text.replace(/^\uFEFF/, '');
  const uncommented = plain.replace(/^[ \t]*#.*$/gm, '');
  const firstLine = uncommented.split(/\r?\n/).find((candidate) => candidate.trim() !== '') ?? '';
  const [head, ...rows] = cellsOf(uncommented, separatorOf(firstLine));
  if (head === undefined || rows.length === 0) {
    throw new FormatError('not-understood', `${what} holds no table: give a head line and a line for each entry.`);
  }
  if (rows.length > MAX_LINES) {
    throw new FormatError('too-large', `${what} has ${rows.length} lines; ${MAX_LINES} are the most.`);
  }
  const names = head.cells.map((name) => name.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, '_').replace(/^_|_$/g, ''));
  const double = names.find((name, i) => name !== '' && names.indexOf(name) !== i);
  if (double !== undefined) {
    throw new FormatError('not-understood', `${what}: the column “${double}” stands there twice.`, { at: 'line 1' });
  }
  return rows.map(({ line, cells }) => ({
    line,
    cells: new Map(names.flatMap((name, i) => (cells[i] === undefined || cells[i] === '' ? [] : [[name, cells[i]]]))),
  }));
}
