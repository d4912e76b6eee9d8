/** A camera's record as the optics takes it. */
import type { ThickPlate } from '../camera/falloff.ts';
import type { CameraGeometry } from '../camera/geometry.ts';
import { dimpleOf, mountedPlate, wallThicknessMm } from './lookup.ts';
import type { CameraRecord, Workshop } from './workshop.ts';

/** Frame, focal length, place of the hole and the way the film lies; `null` while frame or focal length are not known. */
export function geometryOf({ frame, focalLengthMm, holeShift, filmPlane }: CameraRecord): CameraGeometry | null {
  const { widthMm, heightMm } = frame ?? {};
  if (widthMm === undefined || heightMm === undefined || focalLengthMm === undefined) return null;
  return {
    frame: { widthMm, heightMm },
    focalLengthMm,
    holeShift: { xMm: holeShift?.xMm ?? 0, yMm: holeShift?.yMm ?? 0 },
    filmPlane: filmPlane?.kind ?? 'flat',
  };
}

/** The wall of the plate in the camera, which slanting light meets; `undefined` where nobody measured how thick it is. */
export function plateEdgeOf(camera: CameraRecord, workshop: Workshop, diameterMm: number | undefined): ThickPlate | undefined {
  const plate = mountedPlate(camera, workshop);
  const thicknessMm = wallThicknessMm(plate);
  return thicknessMm === undefined || diameterMm === undefined ? undefined : { thicknessMm, diameterMm, countersink: dimpleOf(plate) };
}
