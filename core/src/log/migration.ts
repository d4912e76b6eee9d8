/**
 * How a document of an older version becomes one of today's. Each version has a name and one way up;
 * numbers run without gaps, and every version ever released keeps a test file that must open for ever.
 * Optional fields may be added within a version, because older programs keep what they do not know.
 */
import { VERSION } from './records.ts';

export type JsonObject = { readonly [key: string]: unknown };

export interface Migration {
  /** The version this step leads to. */
  readonly version: number;
  readonly name: string;
  /** From the version before. Pure; keeps fields it does not know. */
  readonly up: (document: JsonObject) => JsonObject;
}

/** In order. The first one is where documents begin, so there is nothing to do. */
export const MIGRATIONS: readonly Migration[] = [{ version: 1, name: 'first', up: (document) => document }];

export type MigrationOutcome =
  | { readonly kind: 'current'; readonly document: JsonObject }
  | { readonly kind: 'migrated'; readonly document: JsonObject; readonly steps: readonly string[] }
  | { readonly kind: 'newer'; readonly version: number }
  | { readonly kind: 'no-version'; readonly got: unknown };

/**
 * Brings a document up to the newest version of the list.
 * @param migrations numbered 1, 2, 3 … without gaps
 */
export function migrated(document: JsonObject, migrations: readonly Migration[] = MIGRATIONS): MigrationOutcome {
  const newest = migrations.at(-1)?.version ?? VERSION;
  const { version } = document;
  if (typeof version !== 'number' || !Number.isInteger(version) || version < 1) return { kind: 'no-version', got: version };
  if (version > newest) return { kind: 'newer', version };
  if (version === newest) return { kind: 'current', document };
  const steps = migrations.filter((step) => step.version > version);
  let result = document;
  for (const step of steps) result = { ...step.up(result), version: step.version };
  return { kind: 'migrated', document: result, steps: steps.map((step) => step.name) };
}
