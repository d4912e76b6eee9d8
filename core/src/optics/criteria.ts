/**
 * What "best hole" may mean. Each criterion has a figure of merit in c = d / √(λ f′); its optimum is the
 * criterion's constant, so the table below holds no constant that could be computed.
 */
import { InputError } from '../errors.ts';
import { FIRST_ZERO_OF_J1 } from '../numeric/bessel.ts';
import { brentRoot } from '../numeric/roots.ts';
import { highestFrequencyAt } from './envelope.ts';

export const CRITERION_IDS = [
  'contrast-50',
  'detail-20',
  'detail-10',
  'peak-energy',
  'petzval',
  'rayleigh',
  'brightest',
  'airy',
] as const;

export type Criterion = (typeof CRITERION_IDS)[number];

/** The one that stands wherever nobody chose: finest detail at 10 % contrast. */
export const DEFAULT_CRITERION: Criterion = 'detail-10';

/** How a criterion weighs a hole; `contrast` and `q` are the envelope point (see `envelope.ts`). */
export type Merit =
  | { readonly kind: 'limiting-frequency'; readonly contrast: number; readonly q: number }
  | { readonly kind: 'peak-per-energy' }
  | { readonly kind: 'centre' }
  | { readonly kind: 'two-blurs' };

export interface CriterionFacts {
  readonly id: Criterion;
  /** What a maker would call it. */
  readonly title: string;
  /** One sentence: what is best about this hole, in a maker's words. */
  readonly meaning: string;
  /** c in d = c √(λ f′). */
  readonly constant: number;
  readonly merit: Merit;
  /** What the band keeps, to be followed by a share: "the finest detail … within 5 %". */
  readonly measuredIn: string;
  /** Key in docs/SOURCES.md. */
  readonly sourceKey: string;
  /** Where the rule stands, for people. */
  readonly source: string;
}

const HIGHEST_50 = highestFrequencyAt(0.5);
const HIGHEST_20 = highestFrequencyAt(0.2);
const HIGHEST_10 = highestFrequencyAt(0.1);

const BLURS = 'the sum of the classical blurs of hole and diffraction, d + c²λf′/d,';

export const CRITERIA: readonly CriterionFacts[] = [
  {
    id: 'contrast-50',
    title: 'most contrast in ordinary detail',
    meaning: 'Shows the finest pattern that still keeps half its contrast: ordinary detail looks crispest.',
    constant: HIGHEST_50.constant,
    merit: { kind: 'limiting-frequency', contrast: 0.5, q: HIGHEST_50.q },
    measuredIn: 'the finest detail that keeps 50 % contrast',
    sourceKey: 'optics-notes',
    source: 'Computed here: the contrast of every hole by the overlap integral (H. H. Hopkins, Proc. R. Soc. A 231, 1955), maximised.',
  },
  {
    id: 'detail-20',
    title: 'fine detail at 20 % contrast',
    meaning: 'Shows the finest pattern that keeps a fifth of its contrast: an all-round choice.',
    constant: HIGHEST_20.constant,
    merit: { kind: 'limiting-frequency', contrast: 0.2, q: HIGHEST_20.q },
    measuredIn: 'the finest detail that keeps 20 % contrast',
    sourceKey: 'optics-notes',
    source: 'Computed here: the contrast of every hole by the overlap integral (H. H. Hopkins, Proc. R. Soc. A 231, 1955), maximised.',
  },
  {
    id: 'detail-10',
    title: 'finest detail at 10 % contrast',
    meaning: 'Shows the last fine pattern that the eye still finds, at a tenth of its contrast.',
    constant: HIGHEST_10.constant,
    merit: { kind: 'limiting-frequency', contrast: 0.1, q: HIGHEST_10.q },
    measuredIn: 'the finest detail that keeps 10 % contrast',
    sourceKey: 'optics-notes',
    source: 'Computed here: the contrast of every hole by the overlap integral (H. H. Hopkins, Proc. R. Soc. A 231, 1955), maximised.',
  },
  {
    id: 'peak-energy',
    title: 'most light gathered in the centre of each point',
    meaning: 'The centre of each point image is brightest for the light that the hole lets in.',
    // N_F = 2x/π at tan x = 2x, and N_F = c²/4
    constant: Math.sqrt((8 / Math.PI) * brentRoot((x) => Math.sin(x) - 2 * x * Math.cos(x), 1, 1.4)),
    merit: { kind: 'peak-per-energy' },
    measuredIn: 'the brightness of the centre for the light let in',
    sourceKey: 'optics-notes',
    source: 'Computed here: brightness of the centre over the area of the hole, maximised; in one wavelength tan x = 2x.',
  },
  {
    id: 'petzval',
    title: 'the oldest rule, blur of hole and diffraction equal',
    meaning: 'The hole as wide as the diffraction blur it makes: tradition’s small hole.',
    constant: Math.SQRT2,
    merit: { kind: 'two-blurs' },
    measuredIn: BLURS,
    sourceKey: 'petzval1857',
    source: 'J. Petzval, Wien. Ber. XXVI, 33 (1857), after K. D. Mielenz, J. Res. NIST 104, 479 (1999).',
  },
  {
    id: 'rayleigh',
    title: 'the half-wave rule',
    meaning: 'Light from rim and centre almost a half wave apart: tradition’s large hole.',
    constant: 2 * Math.sqrt(0.9),
    merit: { kind: 'two-blurs' },
    measuredIn: BLURS,
    sourceKey: 'rayleigh1891',
    source: 'Lord Rayleigh, On pin-hole photography, Phil. Mag. XXXI, 87 (1891), after K. D. Mielenz, J. Res. NIST 104, 479 (1999).',
  },
  {
    id: 'brightest',
    title: 'brightest centre of each point',
    meaning: 'Exactly one Fresnel zone: the centre of each point image is as bright as a hole can make it.',
    constant: 2,
    merit: { kind: 'centre' },
    measuredIn: 'the brightness of the centre of a point image',
    sourceKey: 'young1971',
    source: 'M. Young, Pinhole optics, Appl. Opt. 10, 2763 (1971).',
  },
  {
    id: 'airy',
    title: 'hole as wide as its diffraction disc',
    meaning: 'The hole is as wide as the disc inside the first dark ring: the usual 2.44 λf/d rule.',
    // d = 2 j₁₁/π · λ f′ / d
    constant: Math.sqrt((2 * FIRST_ZERO_OF_J1) / Math.PI),
    merit: { kind: 'two-blurs' },
    measuredIn: BLURS,
    sourceKey: 'bornwolf1999',
    source: 'M. Born and E. Wolf, Principles of Optics, 7th ed. (1999), 8.5: the first dark ring.',
  },
];

/** The facts of one criterion. */
export function criterionFacts(criterion: Criterion): CriterionFacts {
  const facts = CRITERIA.find(({ id }) => id === criterion);
  if (facts === undefined) throw unknownCriterion(criterion);
  return facts;
}

/** @throws InputError unknown-name */
export function parseCriterion(text: string): Criterion {
  const found = CRITERION_IDS.find((id) => id === text.trim().toLowerCase());
  if (found === undefined) throw unknownCriterion(text);
  return found;
}

function unknownCriterion(got: string): InputError {
  const expected = CRITERION_IDS.join(', ');
  return new InputError('unknown-name', `There is no criterion “${got}”. Choose one of ${expected}.`, {
    path: 'criterion',
    got,
    expected,
  });
}
