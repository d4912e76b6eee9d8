/** The map as files, the same bytes as the command line writes. */
import { flatFieldTiff, mapPng, mapSvg, mapTable, transmissionMapByRows } from '#core';
import type { FrontQuestion, MapView } from '#core';
import { browserSaver } from '#io/browser';
import { unhurried } from './unhurried.ts';

const PIXELS = 1200;

function sizeOf(question: FrontQuestion): { readonly columns: number; readonly rows: number } {
  const { widthMm, heightMm } = question.camera.frame;
  return { columns: PIXELS, rows: Math.max(2, Math.round((PIXELS * heightMm) / widthMm)) };
}

function nameOf(camera: string, ending: string): string {
  return `${`front ${camera}`.normalize('NFKD').toLowerCase().replace(/[^a-z0-9.]+/g, '-').replace(/^-|-$/g, '')}.${ending}`;
}

export type MapFile = 'SVG' | 'PNG' | 'CSV' | 'flat field';

export async function saveMap(kind: MapFile, camera: string, question: FrontQuestion, view: MapView): Promise<void> {
  const utf8 = new TextEncoder();
  const { frame } = question.camera;
  const fine = await unhurried(transmissionMapByRows(question, kind === 'CSV' ? { columns: 61, rows: 41 } : { columns: 241, rows: 191 }));
  if (fine === null) return;
  switch (kind) {
    case 'SVG':
      return browserSaver.save(nameOf(camera, 'svg'), 'image/svg+xml', utf8.encode(mapSvg(fine, frame, view)));
    case 'PNG': {
      const { zlibSync } = await import('fflate');
      return browserSaver.save(nameOf(camera, 'png'), 'image/png', mapPng(fine, sizeOf(question), zlibSync, view));
    }
    case 'CSV': {
      const { header, rows } = mapTable(fine, frame, question.layers);
      const cell = (value: string | number | null): string => (value === null ? '' : /[",\r\n]/.test(String(value)) ? `"${String(value).replaceAll('"', '""')}"` : String(value));
      const text = [header, ...rows].map((row) => row.map(cell).join(',')).join('\r\n');
      return browserSaver.save(nameOf(camera, 'csv'), 'text/csv', utf8.encode(`${text}\r\n`));
    }
    case 'flat field':
      return browserSaver.save(nameOf(camera, 'tif'), 'image/tiff', flatFieldTiff(fine, { ...sizeOf(question), frame }, view));
  }
}
