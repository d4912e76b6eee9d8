/** The usual cautions where work can hurt, by topic; local rules and the maker's safety sheets come first. */
import cautions from './cautions.json' with { type: 'json' };

export const CAUTIONS: Readonly<Record<string, string>> = Object.fromEntries(cautions.map(({ topic, line }) => [topic, line]));

/** The lines of these topics, one after the other. */
export function caution(topics: readonly string[]): string {
  return topics.map((topic) => CAUTIONS[topic] ?? '').join(' ');
}
