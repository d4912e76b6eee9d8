/** Adapters that keep nothing, for tests and for places where nothing can be kept. */
export { memoryStore } from '../store/memory.ts';
export { newId } from '../store/id.ts';
