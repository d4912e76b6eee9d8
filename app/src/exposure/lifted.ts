/** A sentence with its time lifted out, to be read at arm's length. */

export interface Lifted {
  readonly before: string;
  readonly time: string;
  readonly rest: string;
}

/**
 * @param which where the sentence says that time more than once before its first break: an opening, then a closing
 * @returns `null` when the sentence does not say that time
 */
export function lifted(sentence: string, time: string, which: 'first' | 'last' = 'first'): Lifted | null {
  const clause = sentence.slice(0, /[;.](?=\s|$)/.exec(sentence)?.index);
  const at = time === '' ? -1 : which === 'first' ? clause.indexOf(time) : clause.lastIndexOf(time);
  if (at < 0) return null;
  const rest = sentence.slice(at + time.length).replace(/^[;,.]?\s*/, '');
  return { before: sentence.slice(0, at), time, rest: rest.charAt(0).toUpperCase() + rest.slice(1) };
}
