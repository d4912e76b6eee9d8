import { describe, expect, it } from 'vitest';
import { lifted } from './lifted.ts';

describe('a time lifted out of its sentence', () => {
  it('leaves a sentence before and one after', () => {
    expect(lifted('Expose 8 min, as metered, or longer.', '8 min')).toEqual({ before: 'Expose ', time: '8 min', rest: 'As metered, or longer.' });
  });

  it('takes the closing and not the opening when the clock shows the same for both', () => {
    const sentence = 'Open at 19:05:00, close at 19:05:00, 0.4 s later; anything from 19:05:00 to 19:05:01 will do.';
    expect(lifted(sentence, '19:05:00', 'last')).toEqual({
      before: 'Open at 19:05:00, close at ', time: '19:05:00', rest: '0.4 s later; anything from 19:05:00 to 19:05:01 will do.',
    });
  });

  it('takes the time to give and not the range after it', () => {
    expect(lifted('Expose 10 s, 8 s to 10 s.', '10 s')?.rest).toBe('8 s to 10 s.');
  });

  it('says so when the time is not in it', () => {
    expect(lifted('This light will never be enough.', '19:42')).toBeNull();
    expect(lifted('This light will never be enough.', '')).toBeNull();
  });
});
