/**
 * An exposure in a light that changes: how long the shutter must stay open, or that this light will never be enough.
 *
 * The model. In a steady light a film that is metered at t needs R(t), its corrected time. In a light that changes,
 * every moment gives the share dτ/R(t(τ)) of the exposure, where t(τ) is the time metered in the light of that moment;
 * the exposure is right when the shares add up to one. A steady light gives R(t) itself. Without reciprocity it is
 * the plain sum of the light.
 *
 * What it assumes: the film answers the light that falls now, whatever fell before. Film does remember: dim light after
 * bright does more than this says, dim light before bright less (latent image that is not yet stable decays). So a second
 * model, in which the film tires with the time since opening and not with the light, is computed beside it, and the
 * range reaches as far as it. Light that comes and goes quickly (cloud, flicker) may differ by a further fraction of a
 * stop (intermittency effect). @source schwarzschild1900
 */
import { InputError } from '../errors.ts';
import { brentRoot } from '../numeric/roots.ts';
import type { AccumulatedLight, ChangingAnswer, ChangingQuestion } from './changing-answer.ts';
import { COVERAGE } from './exposure-links.ts';
import { exposureTime } from './exposure-time.ts';
import type { Film } from './film.ts';
import type { LightCourse } from './light-course.ts';
import { correctedTimeS, reciprocity } from './reciprocity.ts';
import { FARTHEST_STOPS, SECONDS_BELOW_S, changingSentence } from './changing-sentence.ts';

/** Pieces of the way; each with two Gauss nodes, good to 1e-6 where the light changes a third of a stop in one. */
const PIECES = 600;
const GAUSS = Math.sqrt(1 / 12);
const POINTS = 120;
/** How far back a later answer looks for an opening in time. */
const LOOK_BACK_S = 4 * 3600;
const LONGEST_S = 400 * 86_400;
const MARKS_STOPS = [-1, -0.5, 0.5, 1] as const;
const METER_STOPS = 1 / 6;

/** The course at the nodes of all pieces, looked up once. */
interface Nodes {
  readonly fromS: number;
  readonly untilS: number;
  readonly timesS: Float64Array;
  readonly ev: Float64Array;
  readonly loEv: Float64Array;
  readonly hiEv: Float64Array;
}

function nodesOf(course: LightCourse, fromS: number, untilS: number): Nodes {
  const h = (untilS - fromS) / PIECES;
  const timesS = Float64Array.from({ length: 2 * PIECES }, (_, i) => {
    const middle = fromS + ((i >> 1) + 0.5) * h;
    return middle + (i % 2 === 0 ? -GAUSS : GAUSS) * h;
  });
  const spans = Array.from(timesS, (instantS) => course.spanAt(instantS));
  return {
    fromS, untilS, timesS,
    ev: timesS.map((instantS) => course.evAt(instantS)),
    loEv: Float64Array.from(spans, ([lo]) => lo),
    hiEv: Float64Array.from(spans, ([, hi]) => hi),
  };
}

/** Running sum of a rate over the pieces: what is done at the start of each and at the end. */
function running(nodes: Nodes, rateAt: (node: number) => number): Float64Array {
  const done = new Float64Array(PIECES + 1);
  const half = (nodes.untilS - nodes.fromS) / PIECES / 2;
  for (let i = 0; i < PIECES; i++) done[i + 1] = (done[i] as number) + half * (rateAt(2 * i) + rateAt(2 * i + 1));
  return done;
}

function whole(done: Float64Array): number {
  return done[PIECES] as number;
}

/** When so much is done; within a piece its rate is a straight line through its two nodes, which a steady light meets exactly. */
function reached(nodes: Nodes, done: Float64Array, share: number, rateAt: (node: number) => number): number | null {
  if (!(whole(done) >= share)) return null;
  let lo = 0;
  let hi = PIECES;
  while (hi - lo > 1) {
    const middle = (lo + hi) >> 1;
    if ((done[middle] as number) >= share) hi = middle;
    else lo = middle;
  }
  const h = (nodes.untilS - nodes.fromS) / PIECES;
  const missing = share - (done[lo] as number);
  const given = (done[hi] as number) - (done[lo] as number);
  if (missing <= 0) return nodes.fromS + lo * h;
  const slope = (rateAt(2 * lo + 1) - rateAt(2 * lo)) / (2 * GAUSS);
  const bow = (slope * h) / (2 * given);
  const part = missing / given;
  return nodes.fromS + (lo + (Math.abs(bow) < 1e-12 || Math.abs(bow) >= 1 ? part : bowed(bow, part))) * h;
}

/** s of  s + bow·(s² − s) = part,  between 0 and 1. */
function bowed(bow: number, part: number): number {
  const b = 1 - bow;
  return (2 * part) / (b + Math.sqrt(b * b + 4 * bow * part));
}

/** A film's corrected time and its doubt over log2 of the metered time, for the thousands of questions of a range. */
interface FilmTable {
  /** log2 of the corrected time. */
  correctedAt(log2Metered: number): number;
  /** Doubt of the correction at its dim or bright end, k = 2, stops of the corrected time. */
  ownStops(log2Metered: number): number;
  /** log2 of what common practice adds where there is no figure. */
  practiceStops(log2Metered: number): number;
  /** Metered time of a corrected time: the inverse. */
  meteredOf(correctedS: number): number;
}

const TABLE_STEP_STOPS = 1 / 24;

function filmTable(film: Film | null, loStops: number, hiStops: number): FilmTable {
  if (film === null) {
    return { correctedAt: (x) => x, ownStops: () => 0, practiceStops: () => 0, meteredOf: (timeS) => timeS };
  }
  const count = Math.ceil((hiStops - loStops) / TABLE_STEP_STOPS) + 2;
  const logs = new Float64Array(count);
  const own = new Float64Array(count);
  const practice = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    const correction = reciprocity(film, 2 ** (loStops + i * TABLE_STEP_STOPS));
    logs[i] = Math.log2(correction.correctedS);
    own[i] = COVERAGE * correction.standardUncertaintyStops;
    practice[i] = Math.log2(correction.practiceFactor);
  }
  const between = (values: Float64Array, log2Metered: number): number => {
    const place = Math.max(0, Math.min(count - 1.000001, (log2Metered - loStops) / TABLE_STEP_STOPS));
    const i = Math.floor(place);
    return (values[i] as number) + (place - i) * ((values[i + 1] as number) - (values[i] as number));
  };
  return {
    correctedAt: (x) => (x <= loStops ? x : between(logs, x)),
    ownStops: (x) => between(own, x),
    practiceStops: (x) => between(practice, x),
    meteredOf(correctedS) {
      const wanted = Math.log2(correctedS);
      if (wanted <= (logs[0] as number)) return correctedS;
      let lo = 0;
      let hi = count - 1;
      while (hi - lo > 1) {
        const middle = (lo + hi) >> 1;
        if ((logs[middle] as number) <= wanted) lo = middle;
        else hi = middle;
      }
      const [from, to] = [logs[lo] as number, logs[hi] as number];
      const part = to > from ? Math.min(1, (wanted - from) / (to - from)) : 0;
      return 2 ** (loStops + (lo + part) * TABLE_STEP_STOPS);
    },
  };
}

function check(asked: ChangingQuestion): void {
  const { openAtS, untilS, cloud } = asked;
  if (!(Number.isFinite(openAtS) && Number.isFinite(untilS) && untilS > openAtS && untilS - openAtS <= LONGEST_S)) {
    throw new InputError('out-of-range', 'The end of the light must come after the opening, and within a year.', {
      path: 'untilS', got: untilS - openAtS, expected: 'after the opening',
    });
  }
  if (cloud !== undefined && !(cloud.timeShare >= 0 && cloud.timeShare <= 1 && cloud.stops >= 0 && cloud.stops <= 10)) {
    throw new InputError('out-of-range', 'Cloud covers a share of the time from 0 to 1 and takes 0 to 10 stops.', {
      path: 'cloud', got: cloud, expected: 'share 0…1, stops 0…10',
    });
  }
}

/**
 * When to close in a light that changes.
 *   ∫ dτ / R(t(τ)) = 1,  t(τ) metered in the light of τ
 * The range is k = 2: the chain's doubts, the course's own and the film's, all taken to their dim and their bright
 * side at once over the whole time (they hang together), and as far as the second model.
 * Valid: see the head of this file. A table that prints a step is integrated across it to one part in 600.
 * @param asked opening before `untilS`, at most 400 days
 * @throws InputError as `exposureTime`; out-of-range
 * @source schwarzschild1900
 * @source jcgm100 5.1.2
 */
export function changingExposure(asked: ChangingQuestion): ChangingAnswer {
  check(asked);
  const { course, openAtS, untilS, cloud } = asked;
  const film = asked.question.film ?? null;
  const openEv = course.evAt(openAtS);
  const steady = exposureTime({
    ...asked.question,
    light: {
      kind: 'ev', ev100Ev: openEv, standardUncertaintyStops: asked.lightStandardUncertaintyStops ?? METER_STOPS,
    },
  });
  const openMeteredS = steady.meteredS;
  const chainStops = COVERAGE * Math.hypot(
    ...steady.chain.filter(({ name }) => name !== 'reciprocity' && name !== 'hand').map((link) => link.standardUncertaintyStops),
  );
  const nodes = nodesOf(course, openAtS, untilS);
  const openLog = Math.log2(openMeteredS) + openEv;
  const cloudStops = cloud?.stops ?? 0;
  const cloudShare = cloud?.timeShare ?? 0;
  const spread = FARTHEST_STOPS + chainStops + 1;
  const table = filmTable(
    film, openLog - Math.max(...nodes.hiEv) - spread, openLog - Math.min(...nodes.loEv) + spread + cloudStops,
  );

  /** Share of the exposure in a second; cloud gives the mean of its two lights. */
  const mixed = (log2Metered: number, timeLog: (log2Metered: number) => number): number => {
    const clear = 2 ** -timeLog(log2Metered);
    return cloudShare === 0 ? clear : (1 - cloudShare) * clear + cloudShare * 2 ** -timeLog(log2Metered + cloudStops);
  };
  const exactLog = (log2Metered: number): number =>
    film === null ? log2Metered : Math.log2(correctedTimeS(film, 2 ** log2Metered));
  const rates = nodes.ev.map((ev) => mixed(openLog - ev, exactLog));
  const rateAt = (node: number): number => rates[node] as number;
  /** The same for so many stops more exposure. */
  const shifted = (stops: number) => (node: number): number =>
    mixed(openLog - (nodes.ev[node] as number) + stops, table.correctedAt);
  /** At the dim (+1) or bright (−1) end of every doubt. */
  const edge = (side: 1 | -1, stops = 0) => (node: number): number => {
    const ev = nodes.ev[node] as number;
    const away = side === 1 ? ev - (nodes.loEv[node] as number) : (nodes.hiEv[node] as number) - ev;
    const light = Math.hypot(chainStops, away);
    return mixed(openLog - ev + stops, (log2Metered) => {
      const middle = table.correctedAt(log2Metered);
      const moved = table.correctedAt(log2Metered + side * light) - middle;
      const practice = side === 1 ? table.practiceStops(log2Metered) : 0;
      return middle + side * Math.hypot(moved, table.ownStops(log2Metered)) + practice;
    });
  };
  const closes = (rate: (node: number) => number): number | null => reached(nodes, running(nodes, rate), 1, rate);

  const done = running(nodes, rateAt);
  const closeAtS = reached(nodes, done, 1, rateAt);
  const earliest = closes(edge(-1));
  const latest = closes(edge(1));
  const tiringByTimeCloseAtS = byTime(nodes, { table, openMeteredS, openEv, cloudShare, cloudStops });
  const closeRangeS = closeAtS === null
    ? ([earliest, null] as const)
    : ([
        Math.min(earliest ?? closeAtS, tiringByTimeCloseAtS ?? closeAtS, closeAtS),
        latest === null ? null : Math.max(latest, tiringByTimeCloseAtS ?? latest, closeAtS),
      ] as const);

  const endStops = (of: (stops: number) => (node: number) => number): number => {
    const total = (stops: number): number => Math.log2(whole(running(nodes, of(stops))));
    if (!(total(-FARTHEST_STOPS) > 0)) return -FARTHEST_STOPS;
    return total(FARTHEST_STOPS) > 0 ? FARTHEST_STOPS : brentRoot(total, -FARTHEST_STOPS, FARTHEST_STOPS, 1e-3);
  };
  const atEndStops = endStops(shifted);
  const change = course.evAt(openAtS + 30) - course.evAt(openAtS - 30);
  const publishedToS = film === null ? null : reciprocity(film, openMeteredS).publishedToS;
  const beyondLog = publishedToS === null ? Infinity : Math.log2(publishedToS) + 1e-9;
  const counted = (node: number): boolean => closeAtS === null || (nodes.timesS[node] as number) <= closeAtS;
  const beyond = running(nodes, (node) =>
    counted(node) && openLog - (nodes.ev[node] as number) > beyondLog ? rateAt(node) : 0);
  const total = Math.min(1, whole(done));
  const figures = {
    closeAtS,
    durationS: closeAtS === null ? null : closeAtS - openAtS,
    closeRangeS,
    tiringByTimeCloseAtS,
    atEndStops,
    atEndRangeStops: [
      Math.min(atEndStops, endStops((stops) => edge(1, stops))),
      Math.max(atEndStops, endStops((stops) => edge(-1, stops))),
    ] as const,
    latestOpeningS: latestOpening(asked, (ev) => mixed(openLog - ev, table.correctedAt)),
    steady,
    halvingS: Math.abs(change) < 1e-9 ? null : 60 / Math.abs(change),
    rising: change > 0,
    presentLightLeftS: whole(running(nodes, (node) => 2 ** ((nodes.ev[node] as number) - openEv))),
    marks: MARKS_STOPS.map((stops) => ({ stops, closeAtS: closes(shifted(stops)) })),
    extrapolatedShare: total > 0 ? Math.min(1, whole(beyond) / total) : 0,
    points: pointsOf(asked, shownUntil(nodes, done, closeAtS === null ? null : (closeRangeS[1] ?? closeAtS)), (ev) => mixed(openLog - ev, exactLog)),
    courseWords: course.words,
    untilS,
    withSeconds: closeAtS !== null && closeAtS - openAtS < SECONDS_BELOW_S,
  };
  return { ...figures, ...changingSentence(figures, asked) };
}

/** Latest opening from which the rest of the light is still enough; summed from the end, where the light is least. */
function latestOpening({ course, openAtS, untilS }: ChangingQuestion, rateOf: (ev: number) => number): number | null {
  const nodes = nodesOf(course, openAtS - LOOK_BACK_S, untilS);
  const backwards = (node: number): number => rateOf(nodes.ev[2 * PIECES - 1 - node] as number);
  const beforeEnd = reached(nodes, running(nodes, backwards), 1, backwards);
  return beforeEnd === null ? null : untilS - (beforeEnd - nodes.fromS);
}

/** The second model: the film tires with the time since opening, light · d(R⁻¹(τ)), summed to the metered time. */
function byTime(
  nodes: Nodes,
  film: {
    readonly table: FilmTable;
    readonly openMeteredS: number;
    readonly openEv: number;
    readonly cloudShare: number;
    readonly cloudStops: number;
  },
): number | null {
  const h = (nodes.untilS - nodes.fromS) / PIECES;
  const clear = 1 - film.cloudShare + film.cloudShare * 2 ** -film.cloudStops;
  let done = 0;
  let effective = 0;
  for (let i = 0; i < PIECES; i++) {
    const next = film.table.meteredOf((i + 1) * h);
    const light = (2 ** ((nodes.ev[2 * i] as number) - film.openEv) + 2 ** ((nodes.ev[2 * i + 1] as number) - film.openEv)) / 2;
    const given = clear * light * (next - effective);
    if (done + given >= film.openMeteredS) {
      const wanted = effective + ((film.openMeteredS - done) / given) * (next - effective);
      const closeS = 2 ** film.table.correctedAt(Math.log2(wanted));
      return nodes.fromS + Math.min((i + 1) * h, Math.max(i * h, closeS));
    }
    done += given;
    effective = next;
  }
  return null;
}

/** As far as is worth looking at: a little past the closing, or to where hardly anything is added any more. */
function shownUntil(nodes: Nodes, done: Float64Array, closeAtS: number | null): number {
  const { fromS, untilS } = nodes;
  if (closeAtS !== null) return Math.min(untilS, fromS + Math.max(60, (closeAtS - fromS) * 1.25));
  const i = done.findIndex((share) => share > whole(done) * 0.995);
  return Math.min(untilS, fromS + Math.max(600, ((untilS - fromS) * Math.max(1, i)) / PIECES));
}

function pointsOf(
  { course, openAtS }: ChangingQuestion,
  untilS: number,
  rateOf: (ev: number) => number,
): AccumulatedLight[] {
  const nodes = nodesOf(course, openAtS, untilS);
  const done = running(nodes, (node) => rateOf(nodes.ev[node] as number));
  return Array.from({ length: POINTS + 1 }, (_, i) => {
    const instantS = openAtS + ((untilS - openAtS) * i) / POINTS;
    return {
      instantS,
      ev100Ev: course.evAt(instantS),
      spanEv: course.spanAt(instantS),
      doneShare: done[(i * PIECES) / POINTS] as number,
    };
  });
}
