import { expect, test } from 'vitest';
import { inWords, requirePositive } from './errors.ts';

test.each([
  ['focalLengthMm', 'The focal length'],
  ['frame.widthMm', 'The frame width'],
  ['layers[0].opening.diameterMm', 'The opening diameter of layer 1'],
  ['layers[2]', 'Layer 3'],
  ['--frame height', '--frame height'],
  ['board front, length', 'board front, length'],
])('a field %s is said as %s', (path, words) => {
  expect(inWords(path)).toBe(words);
});

test('and so begins the sentence', () => {
  expect(() => requirePositive(-1, 'wavelengthNm', 'nm')).toThrow('The wavelength must be greater than 0 nm, but is -1.');
});
