/** How answers are laid on paper or screen: aligned tables for people, CSV for spreadsheets. */

/** Columns as wide as their widest cell; numbers to the right, words to the left. */
export function table(header: readonly string[], rows: readonly (readonly string[])[]): string {
  const widths = header.map((title, column) => Math.max(title.length, ...rows.map((row) => row[column]?.length ?? 0)));
  const numeric = header.map((_, column) => rows.every((row) => /^[-−+±]?[\d.∞–]|^$/.test(row[column] ?? '')));
  const line = (cells: readonly string[]): string =>
    cells
      .map((cell, column) => (numeric[column] ? cell.padStart(widths[column] ?? 0) : cell.padEnd(widths[column] ?? 0)))
      .join('   ')
      .trimEnd();
  return [line(header), ...rows.map(line)].join('\n');
}

/** RFC 4180: quoted where needed, CRLF line ends. */
export function csv(header: readonly string[], rows: readonly (readonly (string | number | null)[])[]): string {
  const cell = (value: string | number | null): string => {
    const text = value === null ? '' : String(value);
    return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
  };
  return [header, ...rows].map((row) => row.map(cell).join(',')).join('\r\n') + '\r\n';
}

/** Full precision, one JSON document. */
export function json(value: unknown): string {
  return `${JSON.stringify(value, null, 2)}\n`;
}
