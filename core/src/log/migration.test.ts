import { describe, expect, it } from 'vitest';
import { MIGRATIONS, migrated } from './migration.ts';
import type { Migration } from './migration.ts';
import { VERSION } from './records.ts';

/** Steps as they will come, to test the stairs before there is a second one. */
const STEPS: readonly Migration[] = [
  { version: 1, name: 'first', up: (document) => document },
  {
    version: 2,
    name: 'focal length in mm',
    up: ({ focalLengthCm, ...rest }) => ({ ...rest, focalLengthMm: (focalLengthCm as number) * 10 }),
  },
  { version: 3, name: 'a list of cameras', up: ({ focalLengthMm, ...rest }) => ({ ...rest, cameras: [{ focalLengthMm }] }) },
];

describe('migrations', () => {
  it('are named, numbered without gaps, and end at today’s version', () => {
    for (const steps of [MIGRATIONS, STEPS]) expect(steps.map((step) => step.version)).toEqual(steps.map((_, i) => i + 1));
    expect(MIGRATIONS.at(-1)?.version).toBe(VERSION);
    expect(new Set(MIGRATIONS.map((step) => step.name)).size).toBe(MIGRATIONS.length);
  });

  it('go up one by one from where the document is, and keep what they do not know', () => {
    expect(migrated({ version: 1, focalLengthCm: 13.5, unknown: true }, STEPS)).toEqual({
      kind: 'migrated',
      document: { version: 3, cameras: [{ focalLengthMm: 135 }], unknown: true },
      steps: ['focal length in mm', 'a list of cameras'],
    });
    expect(migrated({ version: 2, focalLengthMm: 60 }, STEPS)).toMatchObject({ steps: ['a list of cameras'] });
  });

  it('leave a document of today as it is', () => {
    const document = { version: 3 };
    expect(migrated(document, STEPS)).toEqual({ kind: 'current', document });
  });

  it('tell a newer document and one without a version apart', () => {
    expect(migrated({ version: 4 }, STEPS)).toEqual({ kind: 'newer', version: 4 });
    for (const version of [undefined, null, '1', 0, -1, 1.5]) {
      expect(migrated({ version }, STEPS)).toEqual({ kind: 'no-version', got: version });
    }
  });
});
