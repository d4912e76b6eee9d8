/** The door of the earth's magnetic field: apart from the rest of the core because it brings the model's tables with it. */
export { magneticDeclination } from './sun/compass.ts';
export type { MagneticDeclination } from './sun/compass.ts';
