/** Cameras for the tests of the sheets: a thick-walled plate camera with rise, a bare frame, a roll-film camera, film bent about the hole, a can. */
import { findFilm } from '#core';
import type { BuildChoices, SheetCamera } from '#core/sheets';

const unknown = {
  formatName: null, formatId: null, cutSize: null, film: null, exposureIndex: null, wood: null, boardThicknessMm: null,
  holderDepthMm: null, filmThicknessMm: null, plateSeatMm: null,
} as const;

const wished = { standardUncertaintyMm: null, measured: false, plateName: null, mountedAt: null } as const;

export const halfPlate: SheetCamera = {
  ...unknown,
  name: 'Walnut half-plate',
  frame: { widthMm: 159, heightMm: 114 },
  focalLengthMm: 135,
  holeShift: { xMm: 0, yMm: 6 },
  hole: { diameterMm: 0.431, standardUncertaintyMm: 0.002, measured: true, plateName: 'WB-3', mountedAt: '2026-04-11T10:05:00+02:00' },
  formatName: 'half plate (UK), 4¾×6½ in',
  formatId: 'plate-half-uk',
  cutSize: { widthMm: 165.1, heightMm: 120.65 },
  film: findFilm('Ilford Multigrade RC (deluxe), no filter and grades 00-3.5'),
  wood: 'walnut',
  boardThicknessMm: 18,
  holderDepthMm: 6,
  filmThicknessMm: 0.25,
  plateSeatMm: 11,
};

export const bareFrame: SheetCamera = {
  ...unknown,
  name: 'Camera 127 × 102 mm, f 106 mm',
  frame: { widthMm: 127, heightMm: 102 },
  focalLengthMm: 106,
  holeShift: { xMm: 0, yMm: 0 },
  hole: { diameterMm: 0.42, ...wished },
};

export const rollFilm: SheetCamera = {
  ...unknown,
  name: 'Pear 6×12, Łódź',
  frame: { widthMm: 118, heightMm: 56 },
  focalLengthMm: 60,
  holeShift: { xMm: 0, yMm: 0 },
  hole: { diameterMm: 0.3, standardUncertaintyMm: null, measured: true, plateName: 'PN-1', mountedAt: '2026-04-19T15:30:00+02:00' },
  formatName: '120 roll film, 6×12',
  formatId: '120-6x12',
  film: findFilm('HP5 Plus'),
  wood: 'pear',
  boardThicknessMm: 12,
  holderDepthMm: 0,
  filmThicknessMm: 0.11,
  plateSeatMm: 9.5,
};

export const bentBox: SheetCamera = {
  ...unknown,
  name: 'Bent 160 × 60 mm',
  frame: { widthMm: 160, heightMm: 60 },
  focalLengthMm: 75,
  holeShift: { xMm: 4, yMm: -3 },
  filmPlane: 'cylinder',
  hole: { diameterMm: 0.35, ...wished },
};

export const teaTin: SheetCamera = {
  ...unknown,
  name: 'Tea tin',
  frame: { widthMm: 200, heightMm: 160 },
  focalLengthMm: 72,
  holeShift: { xMm: 0, yMm: 65 },
  filmPlane: 'can',
  hole: { diameterMm: 0.3, ...wished },
};

export const builds: readonly (readonly [SheetCamera, BuildChoices])[] = [
  [halfPlate, { shutter: 'flap', boards: [{ name: 'walnut board', lengthMm: 700, widthMm: 350, thicknessMm: 18, count: 2 }] }],
  [bareFrame, { joint: 'finger' }],
  [rollFilm, { joint: 'rebate', shutter: 'pivot', contact: '+49 000 000', from: '2026-06-21', to: '2026-12-21' }],
  [bentBox, { joint: 'finger' }],
  [teaTin, {}],
];
