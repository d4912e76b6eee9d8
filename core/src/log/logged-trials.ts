/** What the log has to say of a film: the judged exposures, and those with densities, as trials for the fit. */
import { InputError } from '../errors.ts';
import type { Film } from '../exposure/film.ts';
import { isPositive } from '../exposure/learning.ts';
import type { Trial } from '../exposure/learning.ts';
import { TARGET_DENSITY_FILM, TARGET_DENSITY_PAPER, readStepSheet } from '../exposure/step-test.ts';
import type { ExposureRecord, Workshop } from './workshop.ts';

/** Judgement: how well an eye tells how many stops a picture is off, k = 1. */
const EYE_STOPS = 0.5;

type Times = { readonly meteredS: number; readonly givenS: number };

/** The readings of one negative are a step sheet whose strips are subjects: more light by so many stops, the same time. */
function trialFromDensities(exposure: ExposureRecord, film: Film, { meteredS, givenS }: Times): Trial | null {
  const strips = (exposure.result?.densityReadings ?? []).flatMap(({ density, subjectStops, aboveFog }) =>
    subjectStops === undefined || aboveFog !== true ? [] : [{ totalS: 2 ** subjectStops, density }],
  );
  if (strips.length < 2) return null;
  try {
    const { rightS, standardUncertaintyStops } = readStepSheet({
      meteredS: 1,
      strips,
      positive: isPositive(film.kind),
      targetDensity: film.kind === 'paper' ? TARGET_DENSITY_PAPER : TARGET_DENSITY_FILM,
    });
    // The subject so far from the metered one came out right in the time that was given.
    return rightS === null || standardUncertaintyStops === null
      ? null
      : { kind: 'match', meteredS: meteredS / rightS, rightS: givenS, standardUncertaintyStops };
  } catch (error) {
    // Densities that go up and down tell nothing of the film; the verdict beside them still counts.
    if (error instanceof InputError) return null;
    throw error;
  }
}

/**
 * One trial for each exposure of this film that was metered, given and judged, brought to one speed. The best word
 * counts: densities of subjects whose light is known, then the stops by eye, then the verdict. Stops by eye are taken as stops of
 * time, which within their doubt they are.
 * @param exposureIndex > 0, the speed the trials are told at
 */
export function loggedTrials(workshop: Workshop, film: Film, exposureIndex: number): readonly Trial[] {
  const wanted = film.name.toLowerCase();
  return workshop.exposures.flatMap((exposure): Trial[] => {
    const own = workshop.films.find(({ id }) => id === exposure.filmId)?.name;
    const metered = exposure.planned?.meteredS;
    const givenS = exposure.given?.timeS;
    const { result } = exposure;
    const named = [exposure.filmName, own].some((name) => name?.toLowerCase() === wanted);
    if (!named || result === undefined || result.verdict === 'lost' || metered === undefined || givenS === undefined) return [];
    const at = exposure.exposureIndex ?? film.iso;
    const times: Times = { meteredS: at === null ? metered : (metered * at) / exposureIndex, givenS };
    const measured = trialFromDensities(exposure, film, times);
    if (measured !== null) return [measured];
    if (result.offStops !== undefined) {
      return [{ kind: 'match', meteredS: times.meteredS, rightS: givenS / 2 ** result.offStops, standardUncertaintyStops: EYE_STOPS }];
    }
    return result.verdict === undefined ? [] : [{ kind: 'verdict', ...times, verdict: result.verdict }];
  });
}
