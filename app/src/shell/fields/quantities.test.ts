import { describe, expect, it } from 'vitest';
import { angle, boxLength, farLength, holeLength, plainQuantity, signedLength, woodLength } from './quantities.ts';

describe('what a field reads', () => {
  it('takes fractions, commas and units as makers write them', () => {
    expect(boxLength.parse('3/16', 'Wood')).toBeCloseTo(4.7625, 12);
    expect(boxLength.parse('1 1/32"', 'Wood')).toBeCloseTo(26.19375, 12);
    expect(holeLength.parse('0,35', 'Hole')).toBeCloseTo(0.35, 12);
    expect(holeLength.parse('430 µm', 'Hole')).toBeCloseTo(0.43, 12);
    expect(farLength.parse('2', 'Object')).toBe(2000);
  });

  it('takes a plain number as inches for a maker of inches', () => {
    expect(boxLength.inInches?.parse('4', 'Box')).toBeCloseTo(101.6, 12);
    expect(boxLength.inInches?.parse('4 mm', 'Box')).toBe(4);
    expect(boxLength.inInches?.format(101.6)).toBe('4 in');
  });

  it('takes “about 75°”', () => {
    expect(angle.parse('about 75°', 'Angle')).toBeCloseTo((75 * Math.PI) / 180, 12);
    expect(angle.parse('~75', 'Angle')).toBeCloseTo((75 * Math.PI) / 180, 12);
  });

  it('says what is allowed where a value cannot be', () => {
    expect(() => boxLength.parse('0', 'Focal length')).toThrow('Focal length must be more than 0');
    expect(() => woodLength.parse('-1', 'Holder depth')).toThrow('Holder depth must be 0 or more');
    expect(woodLength.parse('0', 'Holder depth')).toBe(0);
    expect(signedLength.parse('-7', 'Seat')).toBe(-7);
    expect(() => angle.parse('190', 'Angle')).toThrow('between 0° and 180°');
    const light = plainQuantity({ unit: 'nm', step: 5, min: 300, max: 1000 });
    expect(light.parse('405 nm', 'Light')).toBe(405);
    expect(() => light.parse('405 k', 'Light')).toThrow('is not a number');
    expect(() => light.parse('1200', 'Light')).toThrow('between 300 and 1000 nm');
  });
});

describe('steps of the arrow keys', () => {
  it('go half a millimetre or 1/32 inch, in the unit and manner that stands there', () => {
    expect(boxLength.stepped(106, '106', 1)).toEqual({ value: 106.5, typed: '106.5' });
    expect(boxLength.stepped(106, '106 mm', -1)).toEqual({ value: 105.5, typed: '105.5 mm' });
    expect(boxLength.stepped(25.4 / 4, '1/4"', 1)).toEqual({ value: 7.14375, typed: '9/32 in' });
    expect(signedLength.stepped(null, '', -1)).toEqual({ value: -0.5, typed: '-0.5 mm' });
  });

  it('never step below what is allowed', () => {
    expect(woodLength.stepped(0.2, '0.2', -1).value).toBe(0);
    expect(boxLength.stepped(0.3, '0.3', -1).value).toBeGreaterThan(0);
    expect(holeLength.stepped(0.43, '0.43', 1).value).toBeCloseTo(0.44, 12);
  });
});
