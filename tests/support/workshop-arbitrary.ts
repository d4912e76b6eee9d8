/**
 * Any workshop that the published JSON Schema allows, with unknown fields at every level: made from the schema
 * itself, so that a new field is tested from the day it is written.
 */
import fc from 'fast-check';
import type { Workshop } from '#core';
import { workshopJsonSchema } from '#core/schema';

type Schema = { readonly [key: string]: unknown };

const hex = (digits: number) => fc.string({ unit: fc.constantFrom(...'0123456789abcdef'), minLength: digits, maxLength: digits });

export const uuid: fc.Arbitrary<string> = fc.uuid({ version: 7 });

const time: fc.Arbitrary<string> = fc
  .tuple(
    fc.date({ min: new Date('1970-01-01T00:00:00Z'), max: new Date('2199-12-31T23:59:59Z'), noInvalidDate: true }),
    fc.constantFrom('Z', '+00:00', '+02:00', '-03:30', '+12:45'),
  )
  .map(([date, offset]) => date.toISOString().replace('Z', offset));

/** A calendar day, as dates without a time are written. */
const day = time.map((text) => text.slice(0, 10));

/** What a later program or a maker with an editor may have put in. */
const unknownValue: fc.Arbitrary<unknown> = fc.oneof(
  { weight: 4, arbitrary: fc.oneof(fc.integer(), fc.double({ noNaN: true, noDefaultInfinity: true }), fc.boolean(), fc.string()) },
  fc.constant(null),
  fc.array(fc.oneof(fc.integer(), fc.string()), { maxLength: 3 }),
  fc.array(fc.record({ id: uuid, note: fc.string() }), { maxLength: 2 }),
  fc.record({ depthMm: fc.double({ noNaN: true, noDefaultInfinity: true }), 'key with “signs”': fc.array(fc.array(fc.integer())) }),
);

const unknownFields = fc.dictionary(
  fc.string({ maxLength: 8 }).map((name) => `x-${name}`),
  unknownValue,
  { maxKeys: 2, noNullPrototype: true },
);

const text = (maximum: number) => fc.oneof(fc.string({ maxLength: Math.min(maximum, 12) }), fc.constantFrom('4 3/16"', 'Nußbaum', '穴'));

function stringOf(schema: Schema): fc.Arbitrary<string> {
  if (schema['format'] === 'uuid') return uuid;
  if (schema['format'] === 'date-time') return time;
  if (schema['format'] === 'date') return day;
  if (schema['pattern'] !== undefined) return hex(64);
  const least = (schema['minLength'] as number | undefined) ?? 0;
  return text((schema['maxLength'] as number | undefined) ?? 12).map((value) => value.padEnd(least, 'x'));
}

function numberOf(schema: Schema): fc.Arbitrary<number> {
  const { minimum, maximum, exclusiveMinimum, exclusiveMaximum } = schema as Record<string, number | undefined>;
  const low = exclusiveMinimum ?? minimum ?? -1e300;
  const high = exclusiveMaximum ?? maximum;
  const excluded = { minExcluded: exclusiveMinimum !== undefined, maxExcluded: exclusiveMaximum !== undefined };
  return fc
    .oneof(
      fc.double({ min: low, max: high ?? 1e300, noNaN: true, ...excluded }),
      fc.double({ min: low, max: Math.min(high ?? 1e3, low + 1e3), noNaN: true, ...excluded }),
    )
    .map((value) => (schema['type'] === 'integer' ? Math.round(value) : value));
}

/** Lists keep each id once, as the document demands. */
function listOf(schema: Schema): fc.Arbitrary<unknown> {
  if (schema['prefixItems'] !== undefined) return fc.tuple(...(schema['prefixItems'] as Schema[]).map(valueOf));
  const items = schema['items'] as Schema;
  const least = (schema['minItems'] as number | undefined) ?? 0;
  const constraints = { minLength: least, maxLength: least + 2 };
  const known = items['properties'] as Schema | undefined;
  if (known?.['id'] === undefined) return fc.array(valueOf(items), constraints);
  return fc.uniqueArray(valueOf(items), { ...constraints, selector: (record) => (record as { id: string }).id });
}

function objectOf(schema: Schema): fc.Arbitrary<unknown> {
  const properties = schema['properties'] as Record<string, Schema> | undefined;
  if (properties === undefined) {
    return fc.dictionary(fc.string({ maxLength: 10 }).map((name) => `field.${name}`), valueOf(schema['additionalProperties'] as Schema), {
      maxKeys: 3,
      noNullPrototype: true,
    });
  }
  const required = new Set((schema['required'] as string[] | undefined) ?? []);
  const withDefault = (name: string) => properties[name]?.['default'] !== undefined;
  const names = Object.keys(properties).filter((name) => required.has(name) || withDefault(name));
  const model = Object.fromEntries(Object.entries(properties).map(([name, value]) => [name, valueOf(value)]));
  return fc
    .tuple(fc.record(model, { requiredKeys: names, noNullPrototype: true }), unknownFields)
    .map(([known, unknown]) => ({ ...known, ...unknown }));
}

function valueOf(schema: Schema): fc.Arbitrary<unknown> {
  if ('const' in schema) return fc.constant(schema['const']);
  if (schema['enum'] !== undefined) return fc.constantFrom(...(schema['enum'] as unknown[]));
  const choices = (schema['anyOf'] ?? schema['oneOf']) as Schema[] | undefined;
  if (choices !== undefined) return fc.oneof(...choices.map(valueOf));
  switch (schema['type']) {
    case 'string':
      return stringOf(schema);
    case 'number':
    case 'integer':
      return numberOf(schema);
    case 'boolean':
      return fc.boolean();
    case 'null':
      return fc.constant(null);
    case 'array':
      return listOf(schema);
    case 'object':
      return objectOf(schema);
    default:
      throw new Error(`the schema has a part that no arbitrary is written for: ${JSON.stringify(schema)}`);
  }
}

export const anyWorkshop = valueOf(workshopJsonSchema()) as fc.Arbitrary<Workshop>;
