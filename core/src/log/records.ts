/**
 * The records of a workshop, each written once as a schema. Every object is open: fields this program
 * does not know are kept as they are. A field that a maker may leave empty is optional; `null` appears only
 * where it means something (no scan, infinitely far). Units are in the keys, angles are radians.
 */
import * as z from 'zod';
import { CRITERION_IDS } from '../optics/criteria.ts';
import { filmSheetSchema, holderSchema, printerSchema, scannerSchema } from './equipment-records.ts';
import { angleRad, depthMm, id, lengthMm, placeMm, seconds, share, sizeMm, text, time, typed, uncertaintyMm, word, zone } from './fields.ts';

const fNumber = () => z.number().gt(0).lte(1e6);
const filmSpeed = () => z.number().gt(0).lte(1e6);
const factor = () => z.number().gte(1).lte(1e9);

const pointMm = () => z.looseObject({ xMm: placeMm(), yMm: placeMm() });

const criterion = () => z.enum(CRITERION_IDS);

/** Where on the earth: north and east positive. */
const placeSchema = z.looseObject({
  name: word().optional(),
  latitudeRad: z.number().gte(-Math.PI / 2).lte(Math.PI / 2),
  longitudeRad: z.number().gte(-Math.PI).lte(Math.PI),
  timeZone: zone().optional(),
});

/** A date without a time, of the calendar at the place. */
const date = () => z.iso.date();

/** How a camera stands for the months of a sun picture. */
const sunPictureSchema = z.looseObject({
  /** Direction it looks, from true north through east. */
  azimuthRad: angleRad().optional(),
  /** The same as read on a compass, kept beside it. */
  compassAzimuthRad: angleRad().optional(),
  /** Magnetic declination that the maker entered; absent: by the model. */
  declinationRad: angleRad().optional(),
  /** Upward positive. */
  tiltRad: angleRad().optional(),
  /** `flat`; `can-wall`: paper round the inside, hole in the wall; `can-axis`: half a can, hole on its axis. */
  surface: z.enum(['flat', 'can-wall', 'can-axis']).optional(),
  canDiameterMm: lengthMm().optional(),
  paper: sizeMm().optional(),
  /** Hole above the paper's lower edge. */
  holeHeightMm: placeMm().optional(),
  /** As made; the plate's measured diameter takes its place where there is one. */
  holeDiameterMm: lengthMm().optional(),
  fromDate: date().optional(),
  toDate: date().optional(),
  /** Skyline as the maker measured it, any number of corners. */
  horizon: z.array(z.looseObject({ azimuthRad: angleRad(), altitudeRad: angleRad() })).max(1000).optional(),
});

/** A plate put into a camera. The last one is in it now; an older one tells what was in it when. */
export const mountingSchema = z.looseObject({
  id: id(),
  /** `null`: the plate was taken out and none put in. */
  plateId: id().nullable(),
  mountedAt: time(),
});

const bevelRecord = () => z.looseObject({ face: z.enum(['near', 'far']), angleRad: angleRad().optional(), depthMm: depthMm().optional() });

/** A layer before or behind the hole, as a maker measures it; what is not measured yet is left out. */
export const layerSchema = z.looseObject({
  id: id(),
  name: word(),
  /** Which side of the hole it stands on. */
  side: z.enum(['front', 'behind']),
  /** From the hole's sharp edge to the nearer face; negative where the layer reaches past the hole. */
  distanceMm: placeMm().optional(),
  thicknessMm: depthMm().optional(),
  /** Lengths of the other shapes stay, so that going from one shape to another and back loses nothing. */
  opening: z
    .looseObject({
      shape: z.enum(['circle', 'rectangle', 'slot', 'polygon']),
      diameterMm: lengthMm().optional(),
      widthMm: lengthMm().optional(),
      heightMm: lengthMm().optional(),
      cornerRadiusMm: depthMm().optional(),
      pointsMm: z.array(z.tuple([placeMm(), placeMm()])).max(10_000).optional(),
    })
    .optional(),
  bevels: z.array(bevelRecord()).max(2).optional(),
  /** Off the axis of the hole, seen from the film side. */
  shift: z.looseObject({ xMm: placeMm().optional(), yMm: placeMm().optional() }).optional(),
  rotationRad: angleRad().optional(),
  /** Each ±. */
  tolerance: z
    .looseObject({
      openingMm: depthMm().optional(),
      shiftMm: depthMm().optional(),
      placeMm: depthMm().optional(),
      thicknessMm: depthMm().optional(),
    })
    .optional(),
  typed: typed().optional(),
});

/** What a maker decided about the parts that are built about the hole; the rest is as usual, or as the view needs it. */
export const frontPartsSchema = z.looseObject({
  gauge: z.looseObject({ tipHeightMm: depthMm().optional() }).optional(),
  plate: z.looseObject({ lossStops: z.number().gt(0).lte(20).optional() }).optional(),
  seat: z
    .looseObject({
      boardOpeningMm: lengthMm().optional(),
      plateThicknessMm: lengthMm().optional(),
      glueThicknessMm: depthMm().optional(),
      landMm: depthMm().optional(),
      glueClearanceMm: depthMm().optional(),
      belowSurfaceMm: depthMm().optional(),
    })
    .optional(),
  shutter: z
    .looseObject({
      slideThicknessMm: lengthMm().optional(),
      playMm: depthMm().optional(),
      overlapMm: depthMm().optional(),
      notHomeMm: depthMm().optional(),
      holeProudMm: placeMm().optional(),
      pivotDistanceMm: lengthMm().optional(),
    })
    .optional(),
  /** Places as written, a semicolon between them. */
  holes: z.looseObject({ places: text().optional(), septumThicknessMm: depthMm().optional() }).optional(),
  finder: z
    .looseObject({
      outsideWidthMm: lengthMm().optional(),
      outsideHeightMm: lengthMm().optional(),
      behindFilmMm: depthMm().optional(),
      eyeDistanceMm: lengthMm().optional(),
      eyeXMm: placeMm().optional(),
      eyeYMm: placeMm().optional(),
      objectDistanceMm: lengthMm().optional(),
    })
    .optional(),
});

/** Everything the light passes before and behind the hole. */
export const frontSchema = z.looseObject({
  layers: z.array(layerSchema).max(200).default([]),
  /** Room to be left all round. */
  marginMm: depthMm().optional(),
  /** Names of lists, or sizes as on the shank. */
  cutters: text().optional(),
  /** Where the sharp edge of the plate looks. */
  sharpEdge: z.enum(['film', 'scene']).optional(),
  parts: frontPartsSchema.optional(),
  typed: typed().optional(),
});

export const cameraSchema = z.looseObject({
  id: id(),
  name: word(),
  createdAt: time().optional(),
  /** Key of the format list; `null`: a size of the maker's own. */
  formatId: word().nullable().optional(),
  /** Image area on the film. */
  frame: sizeMm().optional(),
  /** Size the film or paper is cut to. */
  cutSize: sizeMm().optional(),
  filmPlane: z.looseObject({ kind: z.enum(['flat', 'cylinder', 'can']) }).optional(),
  /** From the hole's sharp edge to the film. */
  focalLengthMm: lengthMm().optional(),
  /** Hole against the middle of the frame, seen from the film side, x right, y up. */
  holeShift: z.looseObject({ xMm: placeMm().optional(), yMm: placeMm().optional() }).optional(),
  wood: word().optional(),
  woodThicknessMm: lengthMm().optional(),
  /** The holder it takes; its measured depth may stand in `holderDepthMm`. */
  holderId: id().optional(),
  holderDepthMm: depthMm().optional(),
  filmThicknessMm: depthMm().optional(),
  /** Sharp edge in front of the inner face of the front board; negative: behind it. */
  plateSeatMm: placeMm().optional(),
  front: frontSchema.optional(),
  wavelengthNm: z.number().gte(200).lte(1200).optional(),
  /** `null`: infinitely far. */
  objectDistanceMm: z.number().gt(0).lte(1e12).nullable().optional(),
  criterion: criterion().optional(),
  /** Name in the list of films, or the id of a film of the workshop's own. */
  filmName: word().optional(),
  filmId: id().optional(),
  /** Speed the maker sets for the film or paper in this camera. */
  exposureIndex: filmSpeed().optional(),
  /** As typed for a camera whose plate is not measured. */
  fNumber: fNumber().optional(),
  mountings: z.array(mountingSchema).max(10_000).default([]),
  /** Where it stands; absent: where the workshop is. */
  place: placeSchema.optional(),
  sunPicture: sunPictureSchema.optional(),
  typed: typed().optional(),
  notes: text().optional(),
});

export const scanRecordSchema = z.looseObject({
  /** SHA-256 of the file's bytes: the scan's name. */
  sha256: z.string().regex(/^[0-9a-f]{64}$/),
  fileName: word(),
  /** Which face of the plate lay on the glass. */
  scannedFace: z.enum(['film', 'scene']),
  /** Where the plate's mark is in the picture, from +x counter-clockwise as displayed; absent: no mark. */
  markAngleRad: angleRad().optional(),
  /** True when the picture shows that face left for right. */
  mirrored: z.boolean(),
});

const circle = () => z.looseObject({ center: pointMm(), diameterMm: lengthMm() });
const departure = () => z.looseObject({ angleRad: angleRad(), heightMm: depthMm(), widthMm: depthMm().optional() });

/** Figures of one hole. Places and angles as seen from the film side, from the least-squares centre. */
export const figuresSchema = z.looseObject({
  outlineDiameterMm: lengthMm(),
  /** k = 1. */
  outlineStandardUncertaintyMm: uncertaintyMm().optional(),
  clearDiameterMm: depthMm().optional(),
  clearStandardUncertaintyMm: uncertaintyMm().optional(),
  imageStandardUncertaintyMm: uncertaintyMm().optional(),
  leastSquaresDiameterMm: lengthMm().optional(),
  maximumInscribed: circle().optional(),
  minimumCircumscribed: circle().optional(),
  roundnessMm: depthMm().optional(),
  feretMinMm: lengthMm().optional(),
  feretMaxMm: lengthMm().optional(),
  feretMaxAngleRad: angleRad().optional(),
  areaMm2: z.number().gte(0).optional(),
  /** Centre of the outline's area. */
  centroid: pointMm().optional(),
  ellipse: z.looseObject({ longMm: lengthMm(), shortMm: depthMm(), angleRad: angleRad() }).optional(),
  /** Waves of the rim: r = … + amplitude · cos(order · θ − phase). */
  lobes: z
    .array(z.looseObject({ order: z.number().int().gte(1).lte(1000), amplitudeMm: depthMm(), phaseRad: angleRad() }))
    .max(1000)
    .optional(),
  raggednessMm: depthMm().optional(),
  burrs: z.array(departure()).max(10_000).optional(),
  chips: z.array(departure()).max(10_000).optional(),
  debris: z
    .array(
      z.looseObject({
        areaMm2: z.number().gte(0),
        center: pointMm(),
        kind: z.enum(['island', 'fibre']),
        /** Closed, counter-clockwise, in the frame of the pass's outline. */
        outlineMm: z.array(z.tuple([placeMm(), placeMm()])).min(3).max(10_000).optional(),
      }),
    )
    .max(10_000)
    .optional(),
  blurSigmaMm: depthMm().optional(),
  acrossPx: z.number().gt(0).lte(1e6).optional(),
  contrastToNoise: z.number().gte(0).optional(),
  budget: z
    .array(z.looseObject({ name: word(), standardUncertaintyMm: uncertaintyMm(), reason: text() }))
    .max(100)
    .optional(),
  /** From the scan's top left corner, x right, y down: where the hole is in the picture. */
  scanCenter: pointMm().optional(),
  perimeterMm: lengthMm().optional(),
  /** From the middle of the plate to the hole, by its edges, a drawn cross or two places: what to shift when mounting. */
  fromMiddle: z
    .looseObject({
      xMm: placeMm(),
      yMm: placeMm(),
      by: z.enum(['edges', 'cross', 'points']),
      standardUncertaintyMm: uncertaintyMm().optional(),
    })
    .optional(),
});

/** What was changed by hand on a measured outline; angles and places in the frame of the pass's outline. */
export const handEditSchema = z.discriminatedUnion('kind', [
  /** The rim pushed outwards (negative: inwards) about a direction, falling off on both sides. */
  z.looseObject({ kind: z.literal('nudge'), angleRad: angleRad(), widthRad: angleRad(), shiftMm: placeMm() }),
  /** What was taken for a burr or chip is debris or a fleck: the rim is bridged there. */
  z.looseObject({ kind: z.literal('bridge'), angleRad: angleRad(), widthRad: angleRad() }),
  /** A piece taken for debris is metal: it cannot be blown out, and counts against the outline. */
  z.looseObject({ kind: z.literal('metal'), center: pointMm() }),
  /** A piece taken for debris is none: a reflection, a fault of the scan. */
  z.looseObject({ kind: z.literal('nothing'), center: pointMm() }),
]);

export const verdictRecordSchema = z.looseObject({
  word: z.enum(['work on', 'good', 'large']),
  criterion: criterion(),
  cameraId: id().optional(),
  bestDiameterMm: lengthMm().optional(),
  bandMm: z.tuple([depthMm(), depthMm()]).optional(),
});

/** One pass: what was done to the plate, and the hole as measured after it. Appended, never rewritten. */
export const passSchema = z.looseObject({
  id: id(),
  at: time(),
  timeZone: zone().optional(),
  /** What was done before measuring: `tapped`, `sanded back`. */
  work: text().optional(),
  /** `null`: measured without a scan, or not measured. */
  scan: scanRecordSchema.nullable(),
  scale: z
    .looseObject({
      xMmPerPx: z.number().gt(0).lte(100),
      yMmPerPx: z.number().gt(0).lte(100),
      source: z.enum(['file', 'given', 'ruler', 'scanner']),
      detail: text().optional(),
      relativeUncertainty: share().optional(),
    })
    .optional(),
  tone: z
    .looseObject({
      kind: z.enum(['srgb', 'linear', 'gamma']),
      gamma: z.number().gt(0).lte(100).optional(),
      source: z.enum(['file', 'given', 'estimated']),
    })
    .optional(),
  polarity: z.enum(['bright-hole', 'dark-hole']).optional(),
  illumination: z.enum(['backlit', 'reflective', 'unknown']).optional(),
  figures: figuresSchema.optional(),
  /** Why the edge term is what it is, when the maker set it. */
  edgeTerm: z.looseObject({ standardUncertaintyMm: uncertaintyMm(), reason: text() }).optional(),
  /** Changes by hand that are in the figures and the outline. */
  handEdits: z.array(handEditSchema).max(1000).optional(),
  /** Nothing was done to the plate since that pass: this is another scan of the same hole. */
  sameStateAs: id().optional(),
  /** The mean over all scans of the same state, with what they differ by in its budget. */
  combined: z
    .looseObject({
      passIds: z.array(id()).min(2).max(1000),
      outlineDiameterMm: lengthMm(),
      outlineStandardUncertaintyMm: uncertaintyMm(),
      clearDiameterMm: depthMm().optional(),
      repeatabilityMm: uncertaintyMm(),
      budget: z
        .array(z.looseObject({ name: word(), standardUncertaintyMm: uncertaintyMm(), reason: text() }))
        .max(100)
        .optional(),
    })
    .optional(),
  /** Closed outline, counter-clockwise, seen from the film side, mark up, from the least-squares centre. */
  outlineMm: z.array(z.tuple([placeMm(), placeMm()])).min(3).max(100_000).optional(),
  /** Holes much smaller than this one in the same plate, which draw a second picture until they are taped over. */
  strayHoles: z
    .array(z.looseObject({ outlineMm: z.array(z.tuple([placeMm(), placeMm()])).min(3).max(100_000) }))
    .max(1000)
    .optional(),
  verdict: verdictRecordSchema.optional(),
  cautions: z.array(text()).max(1000).optional(),
  typed: typed().optional(),
  notes: text().optional(),
});

export const plateSchema = z.looseObject({
  id: id(),
  name: word(),
  createdAt: time().optional(),
  material: word().optional(),
  sheetThicknessMm: lengthMm().optional(),
  /** Thickness at the hole's edge after dimpling and sanding. */
  edgeThicknessMm: depthMm().optional(),
  /** Of the dimple or countersink beyond the edge, against the axis. */
  dimpleSlopeRad: z.number().gte(0).lt(1.57).optional(),
  targetDiameterMm: lengthMm().optional(),
  /** The camera it is made for. */
  targetCameraId: id().optional(),
  passes: z.array(passSchema).max(10_000).default([]),
  typed: typed().optional(),
  notes: text().optional(),
});

const stops = () => z.number().gte(-100).lte(100);

const lawSchema = z.discriminatedUnion('model', [
  z.looseObject({ model: z.literal('none') }),
  z.looseObject({
    model: z.literal('table'),
    rows: z
      .array(
        z.looseObject({ meteredS: seconds(), correctedS: seconds().nullable().optional(), correctionStops: stops().nullable().optional() }),
      )
      .min(1)
      .max(200),
  }),
  z.looseObject({
    model: z.literal('power'),
    exponent: z.number().gte(1).lte(3),
    validFromS: seconds().optional(),
    validToS: seconds().nullable().optional(),
  }),
  z.looseObject({ model: z.literal('covington'), p: z.number().gt(0).lte(1), validToS: seconds().nullable().optional() }),
  z.looseObject({
    model: z.literal('modified-schwarzschild'),
    coefficient: z.number().gte(0).lte(100),
    exponent: z.number().gte(1).lte(3),
    validToS: seconds().nullable().optional(),
  }),
]);

/** A film or paper of the workshop's own, in the words of the exposure room. */
export const filmSchema = z.looseObject({
  id: id(),
  name: word(),
  kind: z
    .enum([
      'bw-negative',
      'colour-negative',
      'colour-reversal',
      'colour-reversal-tungsten',
      'paper',
      'direct-positive-paper',
      'plate',
      'x-ray',
      'instant',
      'emulsion',
      'unspecified',
    ])
    .optional(),
  /** Name in the list of films whose figures it follows. */
  listName: word().optional(),
  maker: word().nullable().optional(),
  iso: filmSpeed().optional(),
  /** Speed the maker sets, learnt or chosen within the range. */
  exposureIndex: filmSpeed().optional(),
  /** The index was learnt in a pinhole camera: the bare hole is in it. */
  learntInPinhole: z.boolean().optional(),
  /** From slowest to fastest. */
  exposureIndexRange: z.tuple([filmSpeed(), filmSpeed()]).optional(),
  law: lawSchema.optional(),
  noCorrectionUpToS: seconds().optional(),
  /** From this metered time on its maker advises against it. */
  notRecommendedFromS: seconds().optional(),
  /** Where its figures come from, in words, and how they came to us. */
  source: text().optional(),
  evidence: z.enum(['published', 'second-hand', 'memory', 'tested', 'none']).optional(),
  typed: typed().optional(),
  notes: text().optional(),
});

const lightDoubt = { standardUncertaintyStops: z.number().gte(0).lte(100).optional() };

/** The light as the maker knew it, in the words of the exposure room. */
const lightSchema = z.discriminatedUnion('kind', [
  z.looseObject({ kind: z.literal('ev'), ev100Ev: z.number().gte(-50).lte(50), ...lightDoubt }),
  z.looseObject({
    kind: z.literal('meter'),
    meteredS: seconds(),
    fNumber: fNumber(),
    iso: filmSpeed().optional(),
    isMark: z.boolean().optional(),
    reading: z.enum(['reflected', 'incident']).optional(),
    ...lightDoubt,
  }),
  z.looseObject({ kind: z.literal('illuminance'), illuminanceLux: z.number().gt(0).lte(1e9), ...lightDoubt }),
  z.looseObject({ kind: z.literal('luminance'), luminanceCdPerM2: z.number().gt(0).lte(1e12), ...lightDoubt }),
  z.looseObject({ kind: z.literal('scene'), scene: word(), lighting: word().optional(), ...lightDoubt }),
]);

/** Planned and given stay apart, so that a log can learn from the difference. Appended, never rewritten. */
export const exposureSchema = z.looseObject({
  id: id(),
  at: time(),
  timeZone: zone().optional(),
  cameraId: id().optional(),
  plateId: id().optional(),
  /** The pass whose hole was used. */
  passId: id().optional(),
  filmName: word().optional(),
  filmId: id().optional(),
  exposureIndex: filmSpeed().optional(),
  light: lightSchema.optional(),
  filterName: word().optional(),
  filterFactor: factor().optional(),
  fNumber: fNumber().optional(),
  fNumberStandardUncertainty: z.number().gte(0).lte(1e6).optional(),
  planned: z
    .looseObject({
      meteredS: seconds().optional(),
      correctedS: seconds().optional(),
      rangeS: z.tuple([seconds(), seconds()]).optional(),
      extrapolated: z.boolean().optional(),
      source: text().optional(),
    })
    .optional(),
  given: z
    .looseObject({ timeS: seconds().optional(), startedAt: time().optional(), endedAt: time().optional() })
    .optional(),
  /** The numbered sheet of the list, or its number as written. */
  sheetId: id().optional(),
  sheet: word().optional(),
  holderId: id().optional(),
  holderSide: word().optional(),
  weather: word().optional(),
  place: word().optional(),
  result: z
    .looseObject({
      at: time().optional(),
      /** Of the print or the positive as seen. */
      verdict: z.enum(['too light', 'right', 'too dark', 'lost']).optional(),
      /** Light the film got beyond what would have been right, by the maker's eye; negative: too little. */
      offStops: stops().optional(),
      /** Read on the negative, above base and fog where it says so. */
      /** Not `densities`: makers have written plain numbers under that name. */
      densityReadings: z
        .array(
          z.looseObject({
            subject: word().optional(),
            density: z.number().gte(-1).lte(10),
            standardUncertainty: z.number().gte(0).lte(10).optional(),
            /** Light of the subject against the metered one. */
            subjectStops: stops().optional(),
            aboveFog: z.boolean().optional(),
          }),
        )
        .max(1000)
        .optional(),
      /** Photographs or scans of the negative or the print, by the SHA-256 of their bytes. */
      pictures: z
        .array(
          z.looseObject({
            sha256: z.string().regex(/^[0-9a-f]{64}$/),
            fileName: word(),
            of: z.enum(['negative', 'print']).optional(),
          }),
        )
        .max(100)
        .optional(),
      notes: text().optional(),
    })
    .optional(),
  typed: typed().optional(),
  notes: text().optional(),
});

/**
 * What stands on the Sheets page: how the maker prints and builds. What is absent is chosen by the sheets and named on
 * them as assumed.
 */
export const sheetChoicesSchema = z.looseObject({
  /** Name of the sheet looked at last, or `all`. */
  sheet: word().optional(),
  paper: z.enum(['a4', 'letter']).optional(),
  printerId: id().optional(),
  joint: z.enum(['butt', 'rebate', 'finger']).optional(),
  shutter: z.enum(['slide', 'flap', 'pivot']).optional(),
  back: z.enum(['holder', 'roll-film']).optional(),
  tripodThread: z.enum(['1/4', '3/8']).optional(),
  kerfMm: depthMm().optional(),
  sawKerfMm: depthMm().optional(),
  holderWidthMm: lengthMm().optional(),
  plateBlankMm: lengthMm().optional(),
  gaugeHeightMm: lengthMm().optional(),
  spoolCoreMm: lengthMm().optional(),
  rollThicknessMm: lengthMm().optional(),
  boards: z
    .array(
      z.looseObject({
        id: id(),
        name: word(),
        lengthMm: lengthMm(),
        widthMm: lengthMm(),
        thicknessMm: lengthMm(),
        count: z.number().int().gte(1).lte(1000),
      }),
    )
    .max(1000)
    .optional(),
  contact: word().optional(),
  from: word().optional(),
  to: word().optional(),
  typed: typed().optional(),
});

/**
 * What stands on the Exposure page: the question asked now, not a record of what was given. Every way of telling the
 * light keeps its own fields, so that going from one to another and back loses nothing. Film, exposure index and
 * f-number stand here only while there is no camera to hold them.
 */
export const questionSchema = z.looseObject({
  lightKind: z.enum(['ev', 'meter', 'scene', 'illuminance']).optional(),
  illuminanceLux: z.number().gt(0).lte(1e9).optional(),
  /** Speed the EV was read at, where it is not 100. */
  evIso: filmSpeed().optional(),
  reading: z.enum(['reflected', 'incident']).optional(),
  lightColour: z.enum(['daylight', 'sunlight', 'incandescent', 'tungsten']).optional(),
  /** Colours that the film sees, where they are not the likely ones of its kind. */
  colourResponse: z.enum(['panchromatic', 'orthochromatic', 'blue-paper', 'variable-contrast-paper', 'green-xray']).optional(),
  /** The part of the frame that is to be exposed as metered; `falloffStops` otherwise. */
  part: z.enum(['behind the hole', 'middle', 'half-way', 'corner']).optional(),
  bracketStops: z.number().gte(0.25).lte(4).optional(),
  ev100Ev: z.number().gte(-50).lte(50).optional(),
  meteredS: seconds().optional(),
  meterFNumber: fNumber().optional(),
  meterIso: filmSpeed().optional(),
  scene: word().optional(),
  lighting: z.enum(['front', 'side', 'back']).optional(),
  filterFactor: factor().optional(),
  /** Light lost at the part of the frame that matters. */
  falloffStops: z.number().gte(0).lte(100).optional(),
  bareHole: z.boolean().optional(),
  /** 0 for a shutter that needs no hand. */
  handReactionS: z.number().gte(0).lte(1000).optional(),
  /** What lies in the hole is left there, so its clear area counts. */
  debrisStays: z.boolean().optional(),
  filmName: word().optional(),
  filmId: id().optional(),
  exposureIndex: filmSpeed().optional(),
  fNumber: fNumber().optional(),
  /** Light that changes: readings with their times, opening and end. */
  changing: z
    .looseObject({
      /** The day that is asked about; absent: that of the readings, or today. */
      date: date().optional(),
      readings: z.array(z.looseObject({ at: time(), ev100Ev: z.number().gte(-50).lte(50) })).max(1000).optional(),
      openAt: time().optional(),
      untilAt: time().optional(),
      /** Left out: by the place where there is one. */
      by: z.enum(['place', 'readings']).optional(),
      cloudShare: share().optional(),
      cloudStops: z.number().gte(0).lte(10).optional(),
    })
    .optional(),
  typed: typed().optional(),
});

/** Something put aside: its record as it was, and which list it comes from. */
export const trashSchema = z.looseObject({
  id: id(),
  list: z.enum(['cameras', 'plates', 'films', 'exposures', 'scanners', 'printers', 'filmHolders', 'filmSheets']),
  trashedAt: time(),
  record: z.looseObject({ id: id() }),
});

export const FORMAT = 'camerawright-workshop';
export const VERSION = 1;

/** The whole document. Lists are in the maker's order; ids are unique within each list. */
export const workshopSchema = z.looseObject({
  format: z.literal(FORMAT),
  version: z.literal(VERSION),
  id: id(),
  name: word(),
  createdAt: time(),
  timeZone: zone().optional(),
  /** Where the maker mostly works. */
  place: placeSchema.optional(),
  notes: text().optional(),
  cameras: z.array(cameraSchema).max(10_000).default([]),
  plates: z.array(plateSchema).max(10_000).default([]),
  films: z.array(filmSchema).max(10_000).default([]),
  exposures: z.array(exposureSchema).max(200_000).default([]),
  scanners: z.array(scannerSchema).max(1000).default([]),
  printers: z.array(printerSchema).max(1000).default([]),
  filmHolders: z.array(holderSchema).max(10_000).default([]),
  filmSheets: z.array(filmSheetSchema).max(200_000).default([]),
  trash: z.array(trashSchema).max(200_000).default([]),
  question: questionSchema.optional(),
  sheets: sheetChoicesSchema.optional(),
});
