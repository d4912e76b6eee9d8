import type { CameraRecord } from '#core';
import { CRITERION_IDS, lightOfFilm, lightOfWavelength } from '#core';
import { describe, expect, it } from 'vitest';
import {
  costSentence, diameterParts, micrometres, roomSentence, standingOf, suitedOf, suitedWords, verdictRecord,
} from './verdict.ts';

const camera: CameraRecord = { id: 'c', name: 'Walnut half-plate', focalLengthMm: 135, mountings: [] };
const green = lightOfWavelength(550);
const figures = (mm: number) => ({ outlineDiameterMm: mm, outlineStandardUncertaintyMm: 0.002 });

describe('diameter', () => {
  it('ends with its uncertainty', () => {
    expect(diameterParts(0.47812, 0.00208)).toEqual({ value: '0.478', spread: '0.004' });
    expect(diameterParts(0.47812, undefined)).toEqual({ value: '0.478', spread: null });
    expect(micrometres(0.43, 0.0021)).toBe('430 ± 4\u00a0µm');
    expect(micrometres(0.0026)).toBe('2.6\u00a0µm');
  });
});

describe('standing', () => {
  it('needs a focal length', () => {
    expect(standingOf(figures(0.48), { id: 'c', name: 'On paper', mountings: [] }, green)).toBeNull();
    // 550 nm, c = 1.7776: f = d² / (c² λ)
    expect(suitedWords(suitedOf(figures(0.478), null, green))).toBe('best for f\u00a0131\u00a0mm');
  });

  it.each([
    [0.3, 'work on', /The band runs from 0\.436 to 0\.510 mm: 136\sµm to go to its edge, 185\sµm to the best\./],
    [0.478, 'good', /The band runs from 0\.436 to 0\.510 mm\./],
    [0.56, 'large', /this hole is 50\sµm above it\. It cannot be made smaller/],
  ] as const)('%d mm is %s, with the way to go', (mm, word, room) => {
    const standing = standingOf(figures(mm), camera, green)!;
    expect(standing.verdict.word).toBe(word);
    expect(roomSentence(standing)).toMatch(room);
  });

  it.each(CRITERION_IDS)('says in the measure of %s what a hole costs', (criterion) => {
    const standing = standingOf(figures(0.7), { ...camera, criterion }, green)!;
    const sentence = costSentence(standing);
    expect(sentence).toMatch(/\d %/);
    expect(sentence).toMatch(/stops? brighter\.$/);
    expect(sentence).not.toMatch(/NaN|undefined/);
  });

  it('follows the film: good in green light, large for paper that sees blue', () => {
    expect(standingOf(figures(0.478), camera, green)?.verdict.word).toBe('good');
    const paper = standingOf(figures(0.478), camera, lightOfFilm({ kind: 'paper', name: 'Graded paper' }))!;
    expect(paper.verdict.word).toBe('large');
    expect(paper.verdict.detailLossShare).toBe(paper.cost.lossShare);
    expect(paper.best.diameterMm).toBeLessThan(0.9 * standingOf(figures(0.478), camera, green)!.best.diameterMm);
  });

  it('is kept with the pass, band and all', () => {
    expect(verdictRecord(figures(0.48), camera, green)).toMatchObject({ word: 'good', criterion: 'detail-10', cameraId: 'c' });
  });
});
