/** Finding a thing by the name a person typed: exact apart from case and spaces, else the nearest names. */

/** Lower case, single spaces: how two names are compared. */
function plain(text: string): string {
  return text.normalize('NFC').trim().replace(/\s+/g, ' ').toLowerCase();
}

export function sameWords(a: string, b: string): boolean {
  return plain(a) === plain(b);
}

/** Words and numbers of a name, lower case; signs between them dropped, `hp5` split into `hp` and `5`. */
export function wordsOf(text: string): string[] {
  return plain(text).match(/\p{L}+|\d+/gu) ?? [];
}

/** Least number of insertions, deletions and exchanges of letters that turn one text into the other. */
function editDistance(a: string, b: string): number {
  let above = Array.from({ length: b.length + 1 }, (_, i) => i);
  for (let i = 0; i < a.length; i++) {
    const row = [i + 1];
    for (let j = 0; j < b.length; j++) {
      const exchange = (above[j] ?? 0) + (a[i] === b[j] ? 0 : 1);
      row.push(Math.min(exchange, (above[j + 1] ?? 0) + 1, (row[j] ?? 0) + 1));
    }
    above = row;
  }
  return above[b.length] ?? 0;
}

/** 0 = alike, 1 = nothing in common: letters changed, lowered by the words both have. */
function unlikeness(asked: string, name: string): number {
  const a = wordsOf(asked).join('');
  const b = wordsOf(name).join('');
  const letters = editDistance(a, b) / Math.max(a.length, b.length, 1);
  const have = new Set(wordsOf(name));
  const wanted = wordsOf(asked).filter((word) => word.length > 1);
  const shared = wanted.filter((word) => have.has(word)).length / Math.max(wanted.length, 1);
  return letters * (1 - 0.7 * shared);
}

/** The names most like what was asked, best first, at most `count`. */
export function nearestNames(asked: string, names: readonly string[], count = 4): string[] {
  return names
    .map((name) => ({ name, distance: unlikeness(asked, name) }))
    .sort((a, b) => a.distance - b.distance)
    .slice(0, count)
    .map(({ name }) => name);
}
