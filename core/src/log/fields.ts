/** The kinds of field that records are made of: each with its unit in its name and its bounds written once. */
import * as z from 'zod';

// Compiled validators would need eval, which the app's content security policy forbids.
z.config({ jitless: true });

const MAX_LENGTH_MM = 100_000;
const MAX_TEXT = 20_000;

export const text = () => z.string().max(MAX_TEXT);
export const word = () => z.string().max(300);
export const id = () => z.uuid();
export const time = () => z.iso.datetime({ offset: true });
export const zone = () => z.string().min(1).max(64);
export const lengthMm = () => z.number().gt(0).lte(MAX_LENGTH_MM);
export const depthMm = () => z.number().gte(0).lte(MAX_LENGTH_MM);
export const placeMm = () => z.number().gte(-MAX_LENGTH_MM).lte(MAX_LENGTH_MM);
export const uncertaintyMm = () => z.number().gte(0).lte(MAX_LENGTH_MM);
export const angleRad = () => z.number().gte(-7).lte(7);
export const share = () => z.number().gte(0).lte(1);
export const seconds = () => z.number().gt(0).lte(1e10);

/** What the maker typed, beside the exact value: path of the field in its record to the text. */
export const typed = () => z.record(z.string().max(100), word());

export const sizeMm = () => z.looseObject({ widthMm: lengthMm().optional(), heightMm: lengthMm().optional() });
