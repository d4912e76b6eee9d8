import { v7 } from 'uuid';

/** A new id: random, sortable by its time, never given twice. */
export function newId(): string {
  return v7();
}
