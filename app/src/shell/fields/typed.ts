/** Keeps what a maker typed for a field beside its value in the record; `null` forgets it. */
export function keepTyped(record: { typed?: Record<string, string> | undefined }, key: string, typed: string | null): void {
  if (typed !== null) (record.typed ??= {})[key] = typed;
  else if (record.typed !== undefined) delete record.typed[key];
}
