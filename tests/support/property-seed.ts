/**
 * Property tests draw the same cases in every check, so that a check speaks of the change and not of its luck.
 * `PROPERTY_SEED=any npm test` draws new ones, `PROPERTY_SEED=7` others: worth a run whenever a room was rebuilt.
 */
import { configureGlobal } from 'fast-check';

const asked = process.env['PROPERTY_SEED'] ?? '20261130';
if (asked !== 'any') configureGlobal({ seed: Number(asked) });
