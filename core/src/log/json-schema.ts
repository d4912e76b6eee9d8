import * as z from 'zod';
import { workshopSchema } from './records.ts';

/** The published JSON Schema (draft 2020-12) of the workshop file, made from the schema that checks it. */
export function workshopJsonSchema(): Readonly<Record<string, unknown>> {
  const { $schema, ...rest } = z.toJSONSchema(workshopSchema, { io: 'input' }) as Record<string, unknown>;
  return {
    $schema,
    title: 'Camerawright workshop file, version 1',
    description:
      'Lengths in mm, wavelengths in nm, angles in radians, times in seconds, as the names say. ' +
      'Unknown fields are allowed everywhere and are kept.',
    ...rest,
  };
}
