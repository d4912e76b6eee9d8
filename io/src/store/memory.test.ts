import { describe } from 'vitest';
import { memoryStore } from './memory.ts';
import { storeContract } from './store.contract.ts';

describe('the store in memory', () => {
  storeContract((workshop) => {
    let nowMs = 0;
    const store = memoryStore(workshop, { nowMs: () => nowMs });
    return Promise.resolve({ store, advanceMs: (ms) => void (nowMs += ms), reopen: null });
  }, 60);
});
