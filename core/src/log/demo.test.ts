import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { insideDepthMm } from '../camera/box.ts';
import { centredCamera, fieldOfView } from '../camera/field-of-view.ts';
import { formatById } from '../camera/formats.ts';
import { findScene } from '../exposure/scenes.ts';
import { sunTracks } from '../sun/tracks.ts';
import { parseWorkshop, serialiseWorkshop } from './file.ts';
import { filmOf, mountedPlate } from './lookup.ts';

const demo = new URL('../../../demo/', import.meta.url);
const text = readFileSync(new URL('demo-workshop.json', demo), 'utf8');
const workshop = parseWorkshop(text);
const manifest = JSON.parse(readFileSync(new URL('demo.json', demo), 'utf8')) as {
  workshop: string;
  plates: { plateId: string; name: string; scan: string; illumination: string }[];
  mainJob: { cameraId: string; plateId: string; scene: string };
};
const named = (name: string) => {
  const camera = workshop.cameras.find((record) => record.name === name);
  if (camera === undefined) throw new Error(`the demo has no ${name}`);
  return camera;
};

describe('the demo workshop', () => {
  it('is a file as the program itself writes it', () => {
    expect(serialiseWorkshop(workshop)).toBe(text);
    expect(existsSync(new URL(manifest.workshop, demo))).toBe(true);
  });

  it('has a scan for every plate and no figure beforehand', () => {
    expect(manifest.plates.map((plate) => plate.plateId).sort()).toEqual(workshop.plates.map((plate) => plate.id).sort());
    for (const { plateId, name, scan } of manifest.plates) {
      expect(workshop.plates.find((plate) => plate.id === plateId)).toMatchObject({ name, passes: [] });
      expect(existsSync(new URL(scan, demo)), scan).toBe(true);
    }
  });

  it('asks its first question about a plate that is in its camera, in a light of the table', () => {
    const camera = workshop.cameras.find((record) => record.id === manifest.mainJob.cameraId);
    expect(camera === undefined ? null : mountedPlate(camera, workshop)?.id).toBe(manifest.mainJob.plateId);
    expect(findScene(manifest.mainJob.scene).id).toBe(manifest.mainJob.scene);
  });

  it('speaks of formats and films that the program knows', () => {
    for (const { name, formatId } of workshop.cameras) if (formatId !== null) expect(formatById(formatId ?? ''), name).not.toBeNull();
    expect(filmOf(named('Pear 6×12'), workshop)?.film.name).toBe('HP5 Plus');
    expect(filmOf(named('Walnut half-plate'), workshop)).toMatchObject({ exposureIndex: 4, film: { exposureIndexRange: [3, 6] } });
    expect(filmOf(named('Four by five, still on paper'), workshop)).toBeNull();
  });

  it('has a tin whose paper, camera and sun picture are the same thing, and whose noon sun of June stays on the paper', () => {
    const tin = named('Tea tin for the sun');
    const sun = tin.sunPicture;
    if (sun === undefined || workshop.place === undefined) throw new Error('no sun picture, or no place');
    expect(sun.paper).toEqual(tin.frame);
    expect(sun.canDiameterMm).toBe(tin.focalLengthMm);
    expect((sun.holeHeightMm ?? 0) - (sun.paper?.heightMm ?? 0) / 2).toBe(tin.holeShift?.yMm);
    expect((sun.canDiameterMm ?? 0) / (sun.holeDiameterMm ?? 0)).toBeCloseTo(tin.fNumber ?? 0, 9);
    // 90° − 51.5° + 23.44° = 61.94°, and 72 mm · tan 61.94° = 135.1 mm below a hole that is 145 mm up
    const tracks = sunTracks({
      place: workshop.place,
      camera: {
        surface: 'can-wall', distanceMm: 72, paperWidthMm: 200, paperHeightMm: 160, azimuthRad: Math.PI, tiltRad: 0, holeHeightMm: 145,
      },
      fromS: Date.parse(`${sun.fromDate ?? ''}T12:00Z`) / 1000,
      toS: Date.parse(`${sun.toDate ?? ''}T12:00Z`) / 1000,
      utcOffsetS: 3600,
      horizon: sun.horizon ?? [],
      dateWords: () => '21 June',
    });
    expect(tracks.sentence).toContain('stays on the paper');
    const june = tracks.tracks[0]?.noon;
    expect(((june?.altitudeRad ?? 0) * 180) / Math.PI).toBeCloseTo(61.94, 1);
    expect((june?.landing?.yMm ?? 0) + 80).toBeCloseTo(145 - 135.1, 0);
  });

  it('has boxes that could be sawn', () => {
    const four = named('Four by five, still on paper');
    const frame = { widthMm: four.frame?.widthMm ?? 0, heightMm: four.frame?.heightMm ?? 0 };
    const view = fieldOfView(centredCamera(frame, four.focalLengthMm ?? 0));
    expect((view.diagonalRad * 180) / Math.PI).toBeCloseTo(71.7, 1);
    const walnut = named('Walnut half-plate');
    expect(
      insideDepthMm({
        focalLengthMm: walnut.focalLengthMm ?? 0,
        holderDepthMm: walnut.holderDepthMm ?? 0,
        filmThicknessMm: walnut.filmThicknessMm ?? 0,
        plateSeatMm: walnut.plateSeatMm ?? 0,
      }),
    ).toBeCloseTo(118.25, 12);
  });
});
