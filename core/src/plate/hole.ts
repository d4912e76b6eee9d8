/** One hole: from a candidate place to its full reading. */
import { budgetOf } from './budget.ts';
import { rimBumps, type RimBump, type RimBumps } from './burrs.ts';
import { debrisAreas, departures, markAround, type Departure } from './debris.ts';
import { equivalentDiameterUnits, outlineFigures, placementOf, pointMm } from './figures.ts';
import { firstRim, radiusAt, type FirstRim } from './first-rim.ts';
import { coarser, cutOut, readLight, type LightWindow } from './light-window.ts';
import type { Candidate } from './locate.ts';
import { USUAL_MASKS, noiseSharpening } from './noise-grain.ts';
import { plateTexture } from './plate-texture.ts';
import { fitRim, type FitSettings } from './rim-fit.ts';
import type { NoiseSharpening, RimFit } from './rim.ts';
import { lightOfValue, valueOfLight } from './tone.ts';
import type { Burr, HoleReading, PixelSource, PixelWindow, Polarity, ScanFacts, ToneCurve } from './scan.ts';

/** A candidate whose rim was seen. */
export interface SeenHole {
  readonly window: LightWindow;
  readonly rim: FirstRim;
  readonly polarity: Polarity;
  /** Place and size in pixels of the scan. */
  readonly column: number;
  readonly row: number;
  readonly radiusPx: number;
  /** Contrast over the unevenness of hole and plate. */
  readonly clarity: number;
}

/** Pixels of a window's side beyond which its light is averaged over blocks. */
const WIDEST_RADIUS_PX = 260;
/** Blur in pixels from which two by two of them are averaged. */
const WIDE_BLUR = 2.4;
/** Radius in pixels below which thinning spares little and hides what sharpening did. */
const LEAST_THINNED = 60;

/**
 * Looks at a candidate at full depth.
 * @returns null when it has no rim; `cut` when the rim leaves the picture
 */
export async function seeHole(
  source: PixelSource,
  candidate: Candidate,
  facts: ScanFacts,
  channel: number,
): Promise<SeenHole | 'cut' | null> {
  const { xMmPerPx, yMmPerPx } = facts.scale;
  const unitsPerColumn = Math.sqrt(xMmPerPx / yMmPerPx);
  const binPx = Math.max(1, Math.ceil(candidate.radiusPx / WIDEST_RADIUS_PX));
  const area = windowAbout(source, candidate, unitsPerColumn, binPx);
  const window = await readLight(source, area, { channel, tone: facts.tone, binPx });
  const rim = firstRim(
    window,
    candidate.polarity,
    {
      column: (candidate.column - area.columnPx) / binPx,
      row: (candidate.row - area.rowPx) / binPx,
      radius: candidate.radiusPx / binPx,
    },
    unitsPerColumn,
  );
  if (!rim) return null;
  const column = window.columnPx + rim.frame.column * binPx;
  const row = window.rowPx + rim.frame.row * binPx;
  const r = rim.radius[0]!;
  if (leavesPicture(rim, source, column, row, binPx)) return 'cut';
  const contrast = Math.abs(rim.holeLight - rim.plateLight);
  const clarity = contrast / Math.max(1e-6, Math.hypot(rim.plateNoise, 0.5 * rim.holeNoise));
  const isRim =
    rim.agreement >= 0.55 && clarity >= 4 && rim.sigma < 0.5 * r && rim.scatter < Math.max(0.6, 0.1 * r) && r >= 2.2;
  if (!isRim) return null;
  return { ...aboutRim(window, rim), polarity: candidate.polarity, column, row, radiusPx: r * binPx, clarity };
}

/** Only as much of the window as a fit looks at: the search's was cut for a hole whose size was not known. */
function aboutRim(window: LightWindow, rim: FirstRim): { window: LightWindow; rim: FirstRim } {
  const { frame } = rim;
  let most = 0;
  for (let i = 0; i < 72; i++) most = Math.max(most, radiusAt(rim.radius, (2 * Math.PI * i) / 72));
  const reach = 1.1 * most + Math.max(16 * rim.sigma, 12) + 4;
  const [halfWidth, halfHeight] = [reach / frame.unitsPerColumn, reach / frame.unitsPerRow];
  const columnPx = Math.floor(frame.column - halfWidth);
  const rowPx = Math.floor(frame.row - halfHeight);
  const cut = cutOut(window, { columnPx, rowPx, widthPx: Math.ceil(2 * halfWidth) + 1, heightPx: Math.ceil(2 * halfHeight) + 1 });
  const [left, top] = [(cut.columnPx - window.columnPx) / window.binPx, (cut.rowPx - window.rowPx) / window.binPx];
  return { window: cut, rim: { ...rim, frame: { ...frame, column: frame.column - left, row: frame.row - top } } };
}

function windowAbout(source: PixelSource, c: Candidate, unitsPerColumn: number, binPx: number): PixelWindow {
  const reach = 2 * c.radiusPx + 24 * binPx;
  const halfWidth = Math.max(reach / unitsPerColumn, 1.7 * c.halfWidthPx + 24 * binPx);
  const halfHeight = Math.max(reach * unitsPerColumn, 1.7 * c.halfHeightPx + 24 * binPx);
  const columnPx = Math.max(0, Math.floor(c.column - halfWidth));
  const rowPx = Math.max(0, Math.floor(c.row - halfHeight));
  return {
    columnPx,
    rowPx,
    widthPx: Math.min(source.widthPx, Math.ceil(c.column + halfWidth)) - columnPx,
    heightPx: Math.min(source.heightPx, Math.ceil(c.row + halfHeight)) - rowPx,
  };
}

function leavesPicture(rim: FirstRim, source: PixelSource, column: number, row: number, binPx: number): boolean {
  for (let i = 0; i < 72; i++) {
    const angle = (2 * Math.PI * i) / 72;
    const r = radiusAt(rim.radius, angle) * binPx;
    const x = column + (r * Math.cos(angle)) / rim.frame.unitsPerColumn;
    const y = row - (r * Math.sin(angle)) / rim.frame.unitsPerRow;
    if (x < 1.5 || y < 1.5 || x > source.widthPx - 1.5 || y > source.heightPx - 1.5) return true;
  }
  return false;
}

/** Where the blur is many pixels wide, blocks of pixels tell as much and cost less; clipped ones must stay apart. */
function thinned(seen: SeenHole): { window: LightWindow; rim: FirstRim } {
  const { window, rim } = seen;
  if (rim.sigma < WIDE_BLUR || rim.radius[0]! < LEAST_THINNED) return { window, rim };
  for (const light of window.light) {
    if (light >= window.clipLight || light <= window.blackLight) return { window, rim };
  }
  const { frame } = rim;
  return {
    window: coarser(window, 2),
    rim: {
      ...rim,
      frame: { ...frame, column: frame.column / 2, row: frame.row / 2 },
      radius: rim.radius.map((v) => v / 2),
      sigma: rim.sigma / 2,
      holeNoise: rim.holeNoise / 2,
      plateNoise: rim.plateNoise / 2,
    },
  };
}

/**
 * Parts of the budget in blur widths, tuned on rendered scans (bench/coverage.ts): what is left when sharpening has
 * been modelled, and when stretches of the rim are hidden.
 */
const BLUR_SHARE = 0.0004;
/** What sampling on pixels leaves at best, px: even noiseless rims of rendered scans come no nearer. */
const PIXEL_FLOOR = 0.001;
/** Beyond this a rim is not noise but something unknown, which the other terms must carry; nor is noise ever so well known. */
const MOST_MISFIT = 9;
const LEAST_MISFIT = 0.3;
/** The same noise beside the rim weighs less in the outline than in the misfit, which sees all of it alike. Rendered scans. */
const USED_SHARE = 0.95;
/** Misfit of a textured plate from which on its grain was not understood. */
const ODD_MISFIT = 1.3;
/**
 * On a textured plate, of what the fit itself states: its grain is not quite the one foretold, and the less the more pixels it is
 * blurred over. By pixel of the blur, within limits. Rendered scans.
 */
const TEXTURE_DOUBT = { perPixel: 0.68, least: 1.2, most: 2.4 } as const;
/** Likeness of neighbouring pixels in the hole that noise never makes: something faint lies in it. Rendered scans. */
const UNEVEN_LIKENESS = 0.2;
/** What that leaves in doubt, in blur widths. Rendered scans. */
const UNEVEN_SHARE = 0.016;
/**
 * Log odds of a sharpened scan before anything was seen of it. @source engineering-judgement
 */
const SHARPENED_LOG_ODDS = -3;
/** Undershoot that no sharpened fit explains better: noise and blur make a little of that too. @source engineering-judgement */
const UNDERSHOOT_LOG_BAYES = 2;
/** Below these odds nobody need look further. */
const HARDLY_LOG_ODDS = -4.5;
/** Steps of the fit that asks the edge for an amount of sharpening. */
const FREE_STEPS = 8;
/** Amount from which on an edge counts as sharpened: rendered scans that were not come out up to 0.05, those that were from 0.1. */
const LEAST_AMOUNT = 0.08;
/** Amounts that no fit of a sharpened edge ends with, and how sure one that went there by strange ways is. */
const LESS_THAN_NONE = -0.1;
const ASTRAY_DEVIATION = 0.2;
/** How well such a fit finds the amount that a driver applied, beside its own deviation. Rendered scans. */
const EDGE_AMOUNT_DEVIATION = 0.18;
/** A sharpened fit that leaves more than the plain one speaks against sharpening: so much more for each unit, up to a limit. */
const WORSE_SHARE = 0.01;
const MOST_AGAINST = 3;
/** Grain of a plate, as a share of the contrast, that doubles what its edge leaves in doubt. @source engineering-judgement */
const TELLING_GRAIN = 0.01;
/** The same of a clipped edge, of which only the darker half is seen: the ends of the blur look like sharpening. */
const CLIPPED_DOUBT = 2;
/** Blur in pixels up to which an edge shows by itself, as undershoot, whether it was sharpened. */
const TELLING_BLUR = 0.85;
const SHARPENED_SHARE = 0.02;
/** Drivers sharpen about like this. @source engineering-judgement */
const USUAL_SHARPENING = { amount: 0.6, radiusPx: 1.15 } as const;
/** What is left in doubt of the shift when sharpening was made part of the model. Tuned on rendered scans. */
const LEFT_SHARE = 0.15;
/** Share of the contrast by which a sharpened edge falls below the plate beside it. */
const LEAST_UNDERSHOOT = 0.005;
/** In blur widths, when all of the rim is hidden: by what lies in the hole, and by scratches. */
const HIDDEN_SHARE = { lying: 0.013, scratches: 0.0105 } as const;
/** Share of the area of burrs and chips that the fit may miss: on textured metal, and lit from behind. */
const BUMP_DOUBT = { textured: 0.024, plain: 0.0025 } as const;
/** In blur widths, when noise carries part of the pixels beyond black or white. */
const NOISE_CLIPPED_SHARE = 0.005;
/** Share of clipped pixels about the rim from which on it matters. */
const CLIPPED_SHARE = 0.02;
/** Short axis over long axis below which the outline may not be the whole hole; burrs do not count. */
const OVAL_RATIO = 0.82;
/** Below this a pixel is more than a seventh of a stop. */
const FEW_ACROSS_PX = 20;

/**
 * Blur of a scan in focus, mm: flatbeds give 4 to 9 µm; beyond these the resolution is doubted. From notes on
 * consumer flatbeds, no source.
 * @source engineering-judgement
 */
const SHARPEST_MM = 0.0022;
export const SOFTEST_MM = 0.022;
/** Likeness of neighbours from which on a picture was probably made larger. @source engineering-judgement */
const ALIKE = 0.45;

/**
 * What one pixel of the diameter is worth in light: 2 / (ln 2 · pixels across), stops.
 * @param acrossPx > 0
 */
export function pixelStops(acrossPx: number): number {
  return 2 / Math.LN2 / acrossPx;
}

/** What the faces do not already say of burrs and debris. */
function cautionsOf(hole: {
  readonly acrossPx: number;
  readonly unround: boolean;
  readonly clipped: boolean;
  readonly sharpened: boolean;
  readonly scratched: boolean;
  readonly stated: boolean;
  readonly blurSigmaMm: number;
  readonly blurSigmaPx: number;
  readonly neighbourLikeness: number;
}): string[] {
  const out: string[] = [];
  if (hole.unround) {
    out.push(
      'The outline is far from round. Something may lie right across the hole: look at the outline over the picture ' +
        'before you trust the figure.',
    );
  }
  if (hole.scratched) {
    out.push('A scratch or a fleck of light touches the rim; that stretch was left out. Scan again with the plate turned.');
  }
  if (hole.sharpened) {
    out.push('The scan was sharpened, which moves edges; it was reckoned with. Better switch sharpening off and scan again.');
  }
  if (hole.clipped) out.push('The rim is clipped to full white or black; less exposure gives a surer edge.');
  if (hole.stated && hole.blurSigmaMm < SHARPEST_MM) {
    out.push(
      `By the stated resolution the edge is blurred by only ${(1000 * hole.blurSigmaMm).toFixed(1)} µm, finer than scanners see. ` +
        'The resolution is probably stated too high: check it with a rule in the scan.',
    );
  }
  if (hole.stated && hole.blurSigmaMm > SOFTEST_MM && hole.blurSigmaPx > 1) {
    out.push(
      `By the stated resolution the edge is blurred by ${(1000 * hole.blurSigmaMm).toFixed(0)} µm, more than scanners do in focus. ` +
        'Either the plate stood off the glass, or the resolution is stated too low: check it with a rule in the scan.',
    );
  }
  if (hole.neighbourLikeness > ALIKE) {
    out.push(
      'Neighbouring pixels are alike, as in a picture that was enlarged or smoothed after it was scanned. Then the stated ' +
        'resolution need not be the scan’s: use the scanner’s own file, or a rule in the scan.',
    );
  }
  if (hole.acrossPx < FEW_ACROSS_PX) {
    const pxStops = pixelStops(hole.acrossPx);
    out.push(
      `Only ${hole.acrossPx.toFixed(0)} pixels across, each worth ${pxStops.toFixed(2)} stop; ` +
        'a higher resolution makes the figure surer.',
    );
  }
  return out;
}

export interface PlainFit {
  /** Thinned where the blur is wide. */
  readonly window: LightWindow;
  /** What lies in the hole or runs into its rim, and how far about it pixels are left out. */
  readonly strange: readonly Departure[];
  readonly reach: number;
  readonly mask: Uint8Array | undefined;
  readonly settings: FitSettings;
  readonly fit: RimFit;
}

/** The rim with debris and scratches left out; sharpening and texture not yet looked for. */
export function plainFit(seen: SeenHole): PlainFit {
  const { window, rim } = thinned(seen);
  const harmonics = Math.max(6, Math.min(48, Math.floor((2 * rim.radius[0]!) / rim.sigma)));
  const coarse = fitRim(window, rim, { harmonics: 4, coarse: true });
  const strange = departures(window, coarse).filter((d) => d.kind !== 'burr' && d.kind !== 'chip');
  const reach = 3.5 * coarse.sigma + 1;
  const mask = strange.length > 0 ? markAround(window, coarse.frame, strange, reach) : undefined;
  const settings = { harmonics, ...(mask ? { mask } : {}) };
  return { window, strange, reach, mask, settings, fit: fitRim(window, coarse, settings) };
}

/**
 * The full reading of a seen hole.
 * @param plain its `plainFit`, where that is known already
 */
export function readHole(seen: SeenHole, facts: ScanFacts, plain: PlainFit = plainFit(seen)): HoleReading {
  const { xMmPerPx, yMmPerPx } = facts.scale;
  const { window, strange, mask, reach, settings, fit: unsharpened } = plain;
  const shrink = window.binPx / seen.window.binPx;
  const noise = noiseSharpening(seen.window, unsharpened, { ...window, shrink, mask });
  const { fit: sharpenedOrNot, doubt: sharpeningDoubt } = sharpenedFit(window, unsharpened, settings, noise, shrink);
  const fit = texturedFit(sharpenedOrNot, window, settings);
  const textured = fit !== sharpenedOrNot;
  const sharpened = fit.state.sharpening !== 'none';
  const lying = strange.filter((d) => d.kind === 'island' || d.kind === 'fibre');
  const pieces = debrisAreas(window, fit, lying, reach);
  const place = placementOf(window, fit.frame, xMmPerPx, yMmPerPx);
  const figures = outlineFigures(fit.radius, place);
  const { ellipse } = figures;
  const diameterUnits = equivalentDiameterUnits(fit.radius);
  const bumps = rimBumps(fit.radius, fit.sigma, rimNoise(fit));
  const unround = Math.max(ellipse.shortMm / ellipse.longMm, bumps.formRatio) < OVAL_RATIO;
  const inMm = (bump: RimBump): Burr => ({
    angleRad: bump.angleRad,
    heightMm: bump.height * place.mmPerUnit,
    widthMm: bump.width * place.mmPerUnit,
  });
  const hidden = pieces.reduce((sum, piece) => sum + piece.area, 0);
  const hiddenDeviation = Math.sqrt(pieces.reduce((sum, piece) => sum + piece.areaDeviation ** 2, 0));
  const clearDiameterMm =
    place.mmPerUnit * Math.sqrt(Math.max(0, diameterUnits ** 2 - (4 / Math.PI) * hidden));
  // Where the fit leaves more or less behind than the noise it reckoned with, its doubts follow (Birge's ratio).
  const birge = Math.sqrt(Math.min(MOST_MISFIT, Math.max(textured ? 1 : LEAST_MISFIT, (textured ? 1 : USED_SHARE) * fit.misfit)));
  const budget = budgetOf(facts, {
    mmPerUnit: place.mmPerUnit,
    diameterUnits,
    noise: Math.hypot(whiteNoiseTerm(fit) * birge, roundingTerm(fit, window)),
    texture: Math.hypot(
      Math.sqrt(Math.max(0, (textured ? textureDoubt(fit) : Math.min(1, birge)) ** 2 * 4 * fit.covariance[0]! - (Math.min(1, birge) * whiteNoiseTerm(fit)) ** 2)),
      bumpTerm(bumps, diameterUnits, textured),
    ),
    blur: Math.hypot(BLUR_SHARE * fit.sigma, PIXEL_FLOOR),
    sharpening: sharpeningDoubt,
    sharpened,
    saturation: saturationTerm(fit, window.clipLight),
    // An island in the middle hides nothing of the rim.
    debris: Math.hypot(
      (lying.length > 0 ? HIDDEN_SHARE.lying : HIDDEN_SHARE.scratches) * fit.sigma * Math.min(1, Math.sqrt(6 * hiddenShare(fit, mask))),
      fit.misfit > MOST_MISFIT ? Math.min(0.2 * fit.sigma, fit.unexplainedArea / (Math.PI * diameterUnits)) : 0,
      (noise?.neighbourLikeness ?? 0) > UNEVEN_LIKENESS ? UNEVEN_SHARE * fit.sigma : 0,
      // Something may lie right across: then this is only a part of the hole.
      unround ? (0.3 * (ellipse.longMm - ellipse.shortMm)) / place.mmPerUnit : 0,
    ),
    sigma: fit.sigma,
    holeLight: fit.state.hole[0]!,
    plateLight: fit.state.plate[0]!,
  });
  return {
    outlineDiameterMm: figures.equivalentDiameterMm,
    outlineStandardUncertaintyMm: budget.totalMm,
    clearDiameterMm,
    clearStandardUncertaintyMm: clearUncertaintyMm(budget.totalMm, figures.equivalentDiameterMm, clearDiameterMm, hiddenDeviation * place.mmPerUnit ** 2),
    imageStandardUncertaintyMm: budget.imageMm,
    budget: budget.lines,
    leastSquares: figures.leastSquares,
    maximumInscribed: figures.maximumInscribed,
    minimumCircumscribed: figures.minimumCircumscribed,
    roundnessMm: figures.roundnessMm,
    feretMinMm: figures.feretMinMm,
    feretMaxMm: figures.feretMaxMm,
    feretMaxAngleRad: figures.feretMaxAngleRad,
    areaMm2: figures.areaMm2,
    perimeterMm: figures.perimeterMm,
    centroid: figures.centroid,
    ellipse,
    lobes: figures.lobes,
    raggednessMm: figures.raggednessMm,
    burrs: bumps.burrs.map(inMm),
    chips: bumps.chips.map(inMm),
    debris: pieces.map(({ departure, area, outline }) => ({
      areaMm2: area * place.mmPerUnit ** 2,
      center: pointMm(place, departure),
      kind: departure.kind === 'fibre' ? 'fibre' : 'island',
      outline: outline.map(({ x, y }) => ({
        xMm: (window.columnPx + x * window.binPx) * xMmPerPx,
        yMm: (window.rowPx + y * window.binPx) * yMmPerPx,
      })),
    })),
    blurSigmaMm: fit.sigma * place.mmPerUnit,
    acrossPx: Math.min(
      figures.equivalentDiameterMm / xMmPerPx,
      figures.equivalentDiameterMm / yMmPerPx,
    ),
    contrastToNoise: Math.abs(fit.contrast) / Math.sqrt(fit.state.plateVariance),
    outline: figures.outline,
    cautions: cautionsOf({
      acrossPx: Math.min(figures.equivalentDiameterMm / xMmPerPx, figures.equivalentDiameterMm / yMmPerPx),
      unround,
      clipped: fit.clippedShare > CLIPPED_SHARE,
      sharpened,
      scratched: strange.length > lying.length,
      stated: facts.scale.source === 'file' || facts.scale.source === 'given',
      blurSigmaMm: fit.sigma * place.mmPerUnit,
      blurSigmaPx: fit.sigma * window.binPx,
      neighbourLikeness: noise?.neighbourLikeness ?? 0,
    }),
  };
}

function textureDoubt({ sigma, misfit }: RimFit): number {
  const { perPixel, least, most } = TEXTURE_DOUBT;
  return Math.min(most, Math.max(least, perPixel * sigma)) * Math.sqrt(Math.max(1, misfit / ODD_MISFIT));
}

/**
 * Of the clear diameter: the outline's uncertainty and that of the hidden area together.
 *   D_c² = D² − 4 A / π, so u² = (D u(D) / D_c)² + (2 u(A) / (π D_c))²
 */
function clearUncertaintyMm(outlineMm: number, diameterMm: number, clearMm: number, hiddenMm2: number): number {
  if (!(clearMm > 0)) return diameterMm;
  return Math.hypot((diameterMm / clearMm) * outlineMm, (2 * hiddenMm2) / (Math.PI * clearMm));
}

interface SharpenedFit {
  readonly fit: RimFit;
  /** What sharpening that was reckoned with, or that may be there unseen, leaves in doubt of the diameter, units. */
  readonly doubt: number;
}

/**
 * Sharpening makes an edge lopsided in light. Undershoot beside the rim tells of it, or the noise inside the
 * hole, or the form of the edge; then it becomes part of the model, on stored values as drivers do it, or on light.
 * What is neither sure nor out of the question stays as doubt: the mean square of the shifts of all masks that may be there.
 */
function sharpenedFit(
  window: LightWindow,
  plain: RimFit,
  settings: FitSettings,
  noise: NoiseSharpening | null,
  shrink: number,
): SharpenedFit {
  const usual = sharpeningShift(plain, window.tone, USUAL_SHARPENING.amount, USUAL_SHARPENING.radiusPx / shrink);
  const left = (fit: RimFit): number => Math.max(SHARPENED_SHARE * fit.sigma, LEFT_SHARE * usual);
  const stored = { ...settings, sharpening: 'stored', sharpenRadiusPx: USUAL_SHARPENING.radiusPx / shrink } as const;
  const told = { ...stored, ...(noise ? { sharpeningSeen: noise } : {}) };
  const under = undershoots(plain);
  let free: RimFit | null = null;
  if (under) {
    // The valley of amount and radius has more than one floor: it is entered from both ends.
    free = [0.4, 0.9]
      .map((sharpenStart) => fitRim(window, plain, { ...stored, sharpenStart }))
      .reduce((a, b) => (leftOf(b, plain) < leftOf(a, plain) ? b : a));
    if (isFound(free) && leftOf(free, plain) < 0.985) return { fit: free, doubt: left(free) };
    const linear = fitRim(window, plain, { ...stored, sharpening: 'linear' });
    if (isFound(linear) && leftOf(linear, plain) < 0.9) return { fit: linear, doubt: left(linear) };
  }
  if (window.tone.kind === 'linear' || (plain.sigma < TELLING_BLUR && !under)) return { fit: plain, doubt: 0 };
  const masks = USUAL_MASKS.map(({ amount, radiusPx }, m) => ({
    amount,
    shift: sharpeningShift(plain, window.tone, amount, radiusPx / shrink),
    logOdds: SHARPENED_LOG_ODDS - Math.log(USUAL_MASKS.length) + (noise?.logLikelihoods[m] ?? 0) + (under ? UNDERSHOOT_LOG_BAYES : 0),
  }));
  let odds = masks.map(({ logOdds }) => Math.exp(logOdds));
  if (Math.log(sumOf(odds)) > HARDLY_LOG_ODDS) {
    const asked = free ?? fitRim(window, plain, { ...stored, mostSteps: FREE_STEPS });
    if (plain.clippedShare <= CLIPPED_SHARE && isFound(asked) && leftOf(asked, plain) < 0.98) {
      const fit = fitRim(window, asked, stored);
      return ranAway(fit, plain) ? { fit: asked, doubt: left(asked) } : { fit, doubt: left(fit) };
    }
    odds = masks.map(({ amount, logOdds }) => Math.exp(logOdds + edgeLogLikelihood(asked, plain, amount)));
  }
  const all = 1 + sumOf(odds);
  const likely = 1 - 1 / all;
  // What was not reckoned with would have moved the rim so far.
  const unsharpened = { fit: plain, doubt: Math.sqrt(sumOf(masks.map(({ shift }, m) => odds[m]! * shift ** 2)) / all) };
  if (likely < 0.5) return unsharpened;
  const fit = fitRim(window, plain, told);
  if (ranAway(fit, plain)) return unsharpened;
  const moved = 2 * Math.abs(fit.radius[0]! - plain.radius[0]!);
  return { fit, doubt: Math.hypot(left(fit), moved * Math.sqrt(likely * (1 - likely))) };
}

/**
 * Whether a fit left the edge it started from. Sharpening and texture move an edge by less than its blur, of which a plain fit of
 * a sharpened edge may miss most of a pixel; but where the hole is clipped to black a sharpened fit may say anything of its
 * light, and follow that anywhere.
 */
function ranAway(fit: RimFit, plain: RimFit): boolean {
  const light = fit.contrast / plain.contrast;
  return Math.abs(fit.radius[0]! - plain.radius[0]!) > plain.sigma + 1 || !(light > 0.5 && light < 2);
}

/** What a sharpened fit leaves of the edge's light, as a share of what the plain one leaves; infinite where it ran away. */
function leftOf(fit: RimFit, plain: RimFit): number {
  return ranAway(fit, plain) ? Infinity : (fit.edgeResidualShare * fit.contrast) / (plain.edgeResidualShare * plain.contrast);
}

/** An amount of sharpening that is no accident of the fit. */
function isFound({ state, sharpenDeviation }: RimFit): boolean {
  return state.sharpenAmount > Math.max(LEAST_AMOUNT, sharpenDeviation);
}

function sumOf(values: readonly number[]): number {
  return values.reduce((sum, v) => sum + v, 0);
}

/**
 * How many times likelier the form of the edge is with an unsharp mask of this amount than without, as a logarithm, from the
 * amount that a fit finds when it is free.
 */
function edgeLogLikelihood(free: RimFit, plain: RimFit, amount: number): number {
  const found = free.state.sharpenAmount;
  const ratio = leftOf(free, plain);
  if (ratio === Infinity) return 0;
  const astray = ratio > 1.05 && (free.steps === FREE_STEPS || ratio > 1.4);
  // A fit that went astray says nothing, unless it is towards less than none: no sharpened edge goes there.
  if (astray && found > LESS_THAN_NONE) return 0;
  // The grain of a plate is not the white noise that the deviation is reckoned from.
  const grain = Math.sqrt(plain.state.plateVariance) / Math.abs(plain.contrast);
  const clipped = plain.clippedShare > CLIPPED_SHARE ? CLIPPED_DOUBT : 0;
  const own = Math.max(astray ? ASTRAY_DEVIATION : 0, free.sharpenDeviation * (1 + grain / TELLING_GRAIN + clipped));
  const log = (mean: number, width: number): number => {
    const deviation = Math.hypot(width, own);
    return -0.5 * ((found - mean) / deviation) ** 2 - Math.log(deviation);
  };
  // Odd ends of the blur explain such an edge better than sharpening does.
  const worse = found > LEAST_AMOUNT ? Math.min(MOST_AGAINST, Math.max(0, ratio - 1) / WORSE_SHARE) : 0;
  return log(amount, EDGE_AMOUNT_DEVIATION) - log(0, 0.05) - worse;
}

/** Light beside the rim swings beyond hole and plate; on a bright plate its grain may look like a little of that. */
function undershoots({ state, contrast, radius }: RimFit): boolean {
  const grain = Math.sqrt(state.plateVariance) / Math.abs(contrast);
  // A rim of few pixels tells the ends of the blur less surely.
  const least = radius[0]! < FEW_ACROSS_PX / 2 ? 2 * LEAST_UNDERSHOOT : LEAST_UNDERSHOOT;
  return state.tails[0]! < -Math.max(least, 1.5 * grain);
}

/**
 * What sharpening does to the diameter when it is not reckoned with, in units: the unsharp mask works on stored
 * values, whose curve against light bends the edge to one side.
 *   ΔD = κ σ a (1 − σ / √(σ² + r²)), κ = 2 φ(0) C |v″| / v′, about 0.9 for sRGB from black to white
 */
function sharpeningShift(fit: RimFit, tone: ToneCurve, amount: number, radiusPx: number): number {
  const { sigma } = fit;
  return bentBy(fit, tone) * sigma * amount * (1 - sigma / Math.hypot(sigma, radiusPx));
}

/** κ: how much the tone curve bends between plate and hole; 0 for linear files, whose edges sharpening leaves in place. */
function bentBy({ state, contrast }: RimFit, tone: ToneCurve): number {
  const step = 0.05 * Math.abs(contrast);
  const middle = Math.max(1.5 * step, (state.hole[0]! + state.plate[0]!) / 2);
  const [a, b, c] = [middle - step, middle, middle + step].map((light) => valueOfLight(tone, light)) as [number, number, number];
  return (2 * 0.3989 * Math.abs(contrast) * Math.abs(c - 2 * b + a) * 2) / (step * Math.abs(c - a));
}

/**
 * The bound set by the pixels' noise, in the diameter, units: 2 (s_n / C) √(2 √π s / (π D)).
 * @source metrology-notes E
 */
function whiteNoiseTerm(fit: RimFit): number {
  const noise = Math.sqrt((fit.state.holeVariance + fit.state.plateVariance) / 2 + fit.state.edgeVariance);
  const information = (2 * Math.sqrt(Math.PI) * fit.sigma) / (Math.PI * 2 * fit.radius[0]!);
  return 2 * (noise / Math.abs(fit.contrast)) * Math.sqrt(information);
}

/**
 * What the file's whole codes leave in doubt of the light of hole and plate, as change of the diameter: ΔD = 2 √(2 π) σ u(level) / C,
 * the blur being told by the same rounded light.
 * Noise of half a code or more evens the rounding out; below, its mean stays wrong by up to 1/π · exp(−2 π² s²) codes.
 * @source metrology-notes A5
 */
function roundingTerm({ state, contrast, sigma }: RimFit, { tone, codeStep }: LightWindow): number {
  if (codeStep === 0) return 0;
  const doubts = [
    [state.hole[0]!, state.holeVariance],
    [state.plate[0]!, state.plateVariance],
  ].map(([light, variance]) => {
    const value = valueOfLight(tone, Math.min(1, Math.max(0, light!)));
    const code = lightOfValue(tone, value + codeStep / 2) - lightOfValue(tone, value - codeStep / 2);
    return (code / (Math.SQRT2 * Math.PI)) * Math.exp((-2 * Math.PI ** 2 * variance!) / code ** 2);
  });
  return (2 * Math.sqrt(2 * Math.PI) * sigma * Math.hypot(...doubts)) / Math.abs(contrast);
}

/**
 * Where white is clipped the light of the hole is foretold from the darker half of the edge: the farther above the
 * limit, the surer it is only on paper. Tuned on rendered scans; narrow blurs, seen by few pixels, do worst.
 */
function saturationTerm(fit: RimFit, clipLight: number): number {
  if (fit.clippedShare <= CLIPPED_SHARE) {
    return fit.noiseClippedShare > CLIPPED_SHARE ? NOISE_CLIPPED_SHARE * fit.sigma : 0;
  }
  const over = Math.max(0, Math.max(fit.state.hole[0]!, fit.state.plate[0]!) / clipLight - 1);
  return fit.sigma * (0.0065 + 0.1 * over * Math.exp(-3 * Math.max(0, fit.sigma - 1)));
}

/** Share of the rim that what was left out hides. */
function hiddenShare(fit: RimFit, mask: Uint8Array | undefined): number {
  if (mask === undefined) return 0;
  let band = 0;
  let hidden = 0;
  for (const i of fit.image.list) {
    if (Math.abs(fit.image.depth[i]!) >= 2 * fit.sigma) continue;
    band++;
    if (mask[i] === 1) hidden++;
  }
  return hidden / Math.max(1, band);
}

/** Doubt from burrs and chips: a share of each one's area, as change of the diameter: ΔD = 2 A / (π D). */
function bumpTerm(bumps: RimBumps, diameterUnits: number, textured: boolean): number {
  const share = textured ? BUMP_DOUBT.textured : BUMP_DOUBT.plain;
  const areas = [...bumps.burrs, ...bumps.chips].map(({ height, width }) => height * width);
  return (2 * share * Math.sqrt(areas.reduce((sum, area) => sum + area ** 2, 0))) / (Math.PI * diameterUnits);
}

/** Standard deviation of the outline at one angle. */
function rimNoise(fit: RimFit): number {
  const n = fit.radius.length;
  let sum = fit.covariance[0]!;
  for (let i = 1; i < n; i++) sum += fit.covariance[i * n + i]! / 2;
  return Math.sqrt(sum);
}

/** With the plate's streaks foretold at the rim, where the plate shows any. */
function texturedFit(plain: RimFit, window: LightWindow, settings: FitSettings): RimFit {
  const { sharpening } = plain.state;
  const texture = plateTexture(plain, settings.mask);
  const fit = texture ? fitRim(window, plain, { ...settings, sharpening, texture, mostSteps: 8 }) : plain;
  return ranAway(fit, plain) ? plain : fit;
}
