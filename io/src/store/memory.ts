import * as Y from 'yjs';
import type { Workshop } from '#core';
import { checkedWorkshop } from '#core/schema';
import type { Store } from '../ports.ts';
import { DocumentStore, fillDocument } from './document-store.ts';
import type { Keeper } from './document-store.ts';

const nowhere: Keeper = {
  status: { kind: 'saved' },
  changed: () => undefined,
  flush: () => Promise.resolve(),
  close: () => Promise.resolve(),
};

/**
 * A store that keeps nothing beyond its own life.
 * @throws FormatError when the workshop is not valid
 */
export function memoryStore(workshop: Workshop, options: { readonly nowMs?: () => number } = {}): Store {
  const doc = new Y.Doc();
  fillDocument(doc, checkedWorkshop(workshop));
  return new DocumentStore({ doc, keeper: () => nowhere, ...options });
}
