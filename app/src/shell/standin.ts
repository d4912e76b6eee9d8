// Local stand-in until the core's workshop schema and the browser store exist; removed then.
export interface Camera {
  id: string;
  name: string;
  formatId: string | null;
  frameWidthMm: number | null;
  frameHeightMm: number | null;
  focalLengthMm: number | null;
  holeShiftXMm: number;
  holeShiftYMm: number;
  woodThicknessMm: number | null;
  holderDepthMm: number | null;
  filmThicknessMm: number | null;
  plateSeatMm: number | null;
  objectDistanceMm: number | null;
  wavelengthNm: number;
  criterion: string;
  typed: Record<string, string>;
}
export interface WorkshopDocument {
  id: string;
  name: string;
  cameras: Camera[];
}
