import { BinaryBitmap, HybridBinarizer, QRCodeReader, RGBLuminanceSource } from '@zxing/library';
import DxfParser from 'dxf-parser';
import sharp from 'sharp';
import { beforeAll, describe, expect, it } from 'vitest';
import { radToDegrees } from '#core';
import { SHEET_NAMES, UNCORRECTED, drawnLengths, planOf, sheetPages, svgOf } from '#core/sheets';
import type { DrawnLength, Page, PageSetup, SheetName } from '#core/sheets';
import { dxfOf, pdfOf } from '#core/pdf';
import { complaintsOf, greyPage, pathsOf, textOf, withPdf } from '../../../tests/support/pdf-readers.ts';
import type { GreyPage } from '../../../tests/support/pdf-readers.ts';
import { builds, halfPlate } from '../../../tests/support/sheet-cameras.ts';
import { LAYERS } from './drawing.ts';
import { conesOf, gaugeAngleRad, wedgeShape } from './gauge.ts';
import { cameraText } from './word-sheets.ts';

const date = '2026-04-19T12:00:00+02:00';
const plan = planOf(halfPlate, builds[0]![1]);

function pagesFor(names: readonly SheetName[], setup: PageSetup): readonly Page[] {
  const head = { camera: halfPlate.name, date: date.slice(0, 10), version: '0.2.0', lengths: 'mm', printer: null } as const;
  return names.flatMap((name) => sheetPages(name, { plan, lengths: 'mm', date }, setup, head));
}

const a4: PageSetup = { paper: 'a4', tiled: true, ...UNCORRECTED };
const pdfHead = { title: 'Sheets', date, version: '0.2.0' };
const MM_PER_IN = 25.4;

/** Length of black along the middle of a bar: ink added up, so that half-covered end pixels count as half. */
function barLength(page: GreyPage, bar: DrawnLength, xDpi: number, yDpi: number): number {
  const up = Math.abs(bar.fromMm[0] - bar.toMm[0]) < 1e-9;
  const toPx = ([x, y]: readonly [number, number]): readonly [number, number] => [(x / MM_PER_IN) * xDpi, page.heightPx - (y / MM_PER_IN) * yDpi];
  const [a, b] = [toPx(bar.fromMm), toPx(bar.toMm)];
  let ink = 0;
  const [low, high] = up ? [Math.min(a[1], b[1]), Math.max(a[1], b[1])] : [Math.min(a[0], b[0]), Math.max(a[0], b[0])];
  const across = Math.floor(up ? a[0] : a[1]);
  for (let i = Math.floor(low) - 4; i <= high + 4; i += 1) ink += up ? page.inkAt(across, i) : page.inkAt(i, across);
  return (ink * MM_PER_IN) / (up ? yDpi : xDpi);
}

/**
 * Where an extension line crosses beyond the tip of a dimension line: the centre of its ink along the dimension, in a strip
 * just beyond the dimension line, on whichever side it stands out. `null` for a dimension without extension lines.
 */
function tipInk(page: GreyPage, length: DrawnLength, end: 'fromMm' | 'toMm', dpi: number): number | null {
  const [from, to] = [length.fromMm, length.toMm];
  const total = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const [ux, uy] = [(to[0] - from[0]) / total, (to[1] - from[1]) / total];
  if (Math.abs(ux * uy) > 1e-9) return null;
  const tip = length[end];
  const at = (along: number, out: number): number => {
    const [x, y] = [tip[0] + along * ux - out * uy, tip[1] + along * uy + out * ux];
    return page.inkAt(Math.floor((x / MM_PER_IN) * dpi), Math.floor(page.heightPx - (y / MM_PER_IN) * dpi));
  };
  for (const side of [1, -1]) {
    // Ink of whole pixels between −0.45 and 0.45 mm of the tip, averaged over the strip from 0.7 to 1.2 mm.
    const pixel = MM_PER_IN / dpi;
    const exact = ((ux !== 0 ? tip[0] : tip[1]) / MM_PER_IN) * dpi;
    const start = Math.floor(exact);
    let [ink, moment, rows] = [0, 0, 0];
    for (let out = 0.7; out < 1.2; out += pixel) {
      rows += 1;
      for (let i = -Math.round(0.45 / pixel); i <= Math.round(0.45 / pixel); i += 1) {
        const along = (start + i + 0.5 - exact) * pixel * (ux + uy);
        const value = at(along, side * out);
        ink += value;
        moment += value * along;
      }
    }
    // The line is 0.25 mm wide: 0.25/pixel of ink in each row.
    if (ink / rows > 0.8 * (0.25 / pixel) && ink / rows < 1.3 * (0.25 / pixel)) return moment / ink;
  }
  return null;
}

let pages: readonly Page[];
let pdf: Uint8Array;
beforeAll(async () => {
  pages = pagesFor(SHEET_NAMES, a4);
  pdf = await pdfOf(pages, pdfHead);
});

describe('the PDF', () => {
  it('opens in poppler and ghostscript without a word, with letters inside and text to search', () => {
    withPdf(pdf, (file) => {
      expect(complaintsOf('pdfinfo', [file])).toBe('');
      expect(complaintsOf('pdftocairo', ['-svg', '-l', '1', file, '/dev/null'])).toBe('');
      expect(complaintsOf('gs', ['-q', '-dNOPAUSE', '-dBATCH', '-sDEVICE=nullpage', file])).toBe('');
      const text = textOf(file);
      for (const words of ['View gauge', 'Walnut half-plate', '2026-04-19', 'Camerawright 0.2.0', 'Symptom chart', '100 mm', '4 in']) expect(text).toContain(words);
    });
  });

  it('is the same bytes for the same date: nothing of the clock or of chance in it', async () => {
    expect(Buffer.from(await pdfOf(pagesFor(['gauge'], a4), pdfHead)).equals(Buffer.from(await pdfOf(pagesFor(['gauge'], a4), pdfHead)))).toBe(true);
    await expect(pdfOf(pages, { ...pdfHead, date: 'soon' })).rejects.toThrow(/“soon” is not one/);
  });

  it('bears a QR that another reader, off the page at 200 dpi, reads back as the camera\'s text', () => {
    withPdf(pdf, (file) => {
      const number = pages.findIndex(({ title }) => title === 'Camera sheet') + 1;
      const { widthPx, heightPx, inkAt } = greyPage(file, number, 200);
      const grey = Uint8ClampedArray.from({ length: widthPx * heightPx }, (_, i) => 255 * (1 - inkAt(i % widthPx, Math.floor(i / widthPx))));
      const picture = new BinaryBitmap(new HybridBinarizer(new RGBLuminanceSource(grey, widthPx, heightPx)));
      expect(new QRCodeReader().decode(picture).getText()).toBe(cameraText(plan, date));
    });
  });

  it('holds every drawn length to 0.001 mm, as another program reads its numbers', () => {
    withPdf(pdf, (file) => {
      let measured = 0;
      pages.forEach((page, i) => {
        if (!['View gauge', 'Front: drilling and layout', 'Box: parts'].includes(page.title)) return;
        const points = pathsOf(file, i + 1).flat();
        for (const { name, fromMm, toMm, lengthMm } of drawnLengths(page)) {
          if (name.includes('part on this page')) continue;
          // The reader leaves out corners on a straight line, so a bar's end is known by its corners, half its width away.
          const off = name.startsWith('check bar') ? 0.7 : 0;
          const near = ([x, y]: readonly [number, number]): number =>
            Math.min(...points.map(([px, py]) => Math.abs(Math.hypot(px - x, py - y) - off)));
          expect(near(fromMm), `${name}, from`).toBeLessThan(0.001);
          expect(near(toMm), `${name}, to`).toBeLessThan(0.001);
          expect(Math.abs(Math.hypot(toMm[0] - fromMm[0], toMm[1] - fromMm[1]) - lengthMm)).toBeLessThan(1e-9);
          measured += 1;
        }
      });
      expect(measured).toBeGreaterThan(60);
    });
  });

  it('rasterised: check bars on every page, and 30 dimensions and more, within 0.02 mm', () => {
    const dpi = 400;
    let [bars, dimensions, worst] = [0, 0, 0];
    withPdf(pdf, (file) => {
      pages.forEach((page, i) => {
        const fine = ['View gauge', 'Front: drilling and layout', 'Shutter parts'].includes(page.title);
        const grey = greyPage(file, i + 1, dpi);
        for (const length of drawnLengths(page)) {
          if (length.name.startsWith('check bar')) {
            expect(Math.abs(barLength(grey, length, dpi, dpi) - length.lengthMm), `${page.title} ${page.name}: ${length.name}`).toBeLessThan(0.02);
            bars += 1;
            continue;
          }
          if (!fine) continue;
          const [a, b] = [tipInk(grey, length, 'fromMm', dpi), tipInk(grey, length, 'toMm', dpi)];
          if (a === null || b === null) continue;
          expect(Math.abs(b - a), `${page.title} ${page.name}: ${length.name}`).toBeLessThan(0.02);
          worst = Math.max(worst, Math.abs(b - a));
          dimensions += 1;
        }
      });
    });
    expect(bars).toBe(4 * pages.length);
    expect(dimensions).toBeGreaterThanOrEqual(30);
    expect(worst).toBeLessThan(0.02);
  });

  it('has the gauge’s angle to 0.01°, measured on its flanks', () => {
    const cone = conesOf(plan).across;
    const shape = wedgeShape(cone, 40);
    withPdf(pdf, (file) => {
      const outline = pathsOf(file, 1).find((path) => {
        const xs = path.map(([x]) => x);
        return path.length >= 10 && Math.abs(Math.max(...xs) - Math.min(...xs) - 2 * shape.topHalfMm) < 0.01;
      })!;
      const top = Math.max(...outline.map(([, y]) => y));
      const foot = Math.min(...outline.map(([, y]) => y)) + shape.footHeightMm;
      const width = (at: number): number => {
        const xs = outline.filter(([, y]) => Math.abs(y - at) < 0.01).map(([x]) => x);
        return Math.max(...xs) - Math.min(...xs);
      };
      const angle = 2 * Math.atan((width(top) - width(foot)) / 2 / (top - foot));
      expect(Math.abs(radToDegrees(angle - gaugeAngleRad(cone)))).toBeLessThan(0.01);
    });
  });

  it('corrected for a printer of 97 % × 98 %, comes out right on a page printed so', async () => {
    const setup: PageSetup = { paper: 'a4', tiled: true, xFactor: 100 / 97, yFactor: 100 / 98 };
    const corrected = pagesFor(['plate'], setup);
    const bytes = await pdfOf(corrected, pdfHead);
    withPdf(bytes, (file) => {
      // Printed small: fewer dots per inch of the file on each axis, then measured with the true dots.
      const grey = greyPage(file, 1, 600 * 0.97, 600 * 0.98);
      for (const bar of drawnLengths(corrected[0]!).filter(({ name }) => name.startsWith('check bar'))) {
        const onPaper: DrawnLength = { ...bar, fromMm: [bar.fromMm[0] * 0.97, bar.fromMm[1] * 0.98], toMm: [bar.toMm[0] * 0.97, bar.toMm[1] * 0.98] };
        expect(Math.abs(barLength(grey, onPaper, 600, 600) - bar.lengthMm), bar.name).toBeLessThan(0.02);
      }
      // And without the correction it would have been short.
      expect(Math.abs(barLength(greyPage(file, 1, 600), { ...drawnLengths(corrected[0]!)[0]!, ...drawnLengths(corrected[0]!).find(({ name }) => name === 'check bar 100 mm, across')! }, 600, 600) - 100)).toBeGreaterThan(3);
    });
  });

  it('tiles laid mark on mark give the whole drawing', async () => {
    const dpi = 100;
    const whole = pagesFor(['template'], { ...a4, tiled: false }).filter(({ widthMm }) => widthMm > 210);
    const tiles = pagesFor(['template'], a4).filter(({ name }) => name.includes('tile'));
    expect([whole.length, tiles.length]).toEqual([1, 2]);
    const one = await pdfOf(whole, pdfHead);
    const many = await pdfOf(tiles, pdfHead);
    const offset = whole[0]!.blocks[0]!.placement;
    const big = withPdf(one, (file) => greyPage(file, 1, dpi));
    const small = withPdf(many, (file) => tiles.map((_, i) => greyPage(file, i + 1, dpi)));
    const px = (mm: number): number => (mm / MM_PER_IN) * dpi;
    let [inked, missing, covered] = [0, 0, 0];
    const seen = new Set<string>();
    tiles.forEach((tile, t) => {
      const { placement, window } = tile.blocks[0]!;
      const [dx, dy] = [offset.xMm - placement.xMm, offset.yMm - placement.yMm];
      for (let x = Math.ceil(px(window!.leftMm)) + 2; x < px(window!.rightMm) - 2; x += 1) {
        for (let y = Math.ceil(px(window!.bottomMm)) + 2; y < px(window!.topMm) - 2; y += 1) {
          const ink = small[t]!.inkAt(x, small[t]!.heightPx - 1 - y);
          if (ink < 0.5) continue;
          const [wx, wy] = [Math.round(x + px(dx)), Math.round(y + px(dy))];
          inked += 1;
          let near = 0;
          for (let i = -1; i <= 1; i += 1) for (let j = -1; j <= 1; j += 1) near = Math.max(near, big.inkAt(wx + i, big.heightPx - 1 - wy + j));
          if (near < 0.3) missing += 1;
          seen.add(`${wx >> 1},${wy >> 1}`);
        }
      }
    });
    // Words may stand elsewhere on a tile so as to be whole; lines may not.
    expect(missing / inked).toBeLessThan(0.01);
    // The other way: what the whole has, the tiles have.
    let lost = 0;
    for (let x = Math.ceil(px(24)); x < big.widthPx - px(10); x += 1) {
      for (let y = Math.ceil(px(39)); y < big.heightPx - px(10); y += 1) {
        if (big.inkAt(x, big.heightPx - 1 - y) < 0.7) continue;
        covered += 1;
        let found = false;
        for (let i = -1; i <= 1; i += 1) for (let j = -1; j <= 1; j += 1) found ||= seen.has(`${(x >> 1) + i},${(y >> 1) + j}`);
        if (!found) lost += 1;
      }
    }
    expect(covered).toBeGreaterThan(1000);
    expect(lost / covered).toBeLessThan(0.01);
  });
});

describe('for the cutter', () => {
  const cutter = (): readonly Page[] => pagesFor(['gauge', 'box', 'shutter'], { ...a4, tiled: false });

  it('SVG in mm: the same lengths to 0.001 mm in its numbers, one group for each layer, and as drawn by another library', async () => {
    for (const page of cutter()) {
      const svg = svgOf(page);
      expect(svg).toContain(`width="${page.widthMm}mm" height="${page.heightMm}mm" viewBox="0 0 ${page.widthMm} ${page.heightMm}"`);
      const points = [...svg.matchAll(/ d="([^"]+)"/g)].flatMap(([, d]) => {
        const numbers = d!.match(/-?[\d.]+/g)!.map(Number);
        return numbers.flatMap((x, i) => (i % 2 === 0 && numbers[i + 1] !== undefined ? [[x, page.heightMm - numbers[i + 1]!] as const] : []));
      });
      for (const { name, fromMm, toMm } of drawnLengths(page)) {
        if (name.startsWith('check bar')) continue;
        for (const [x, y] of [fromMm, toMm]) {
          expect(Math.min(...points.map(([px, py]) => Math.hypot(px - x, py - y))), name).toBeLessThan(0.001);
        }
      }
    }
    // Drawn by librsvg at 254 dpi: 10 px/mm.
    const page = cutter()[0]!;
    const { data, info } = await sharp(Buffer.from(svgOf(page)), { density: 254 }).flatten({ background: '#fff' }).greyscale().raw().toBuffer({ resolveWithObject: true });
    const scale = info.width / page.widthMm;
    const bar = drawnLengths(page).find(({ name }) => name === 'check bar 100 mm, across')!;
    const row = Math.floor((page.heightMm - bar.fromMm[1]) * scale);
    let ink = 0;
    for (let x = 0; x < info.width; x += 1) ink += x < (bar.toMm[0] + 2) * scale ? 1 - data[row * info.width + x]! / 255 : 0;
    expect(ink / scale).toBeCloseTo(100, 1);
  });

  it('DXF in mm: layers named, lengths to 0.001 mm, words in ASCII, as an independent parser reads it', () => {
    const layers = new Set<string>();
    for (const page of cutter()) {
      const text = dxfOf(page);
      expect([...text].every((char) => char <= '~')).toBe(true);
      const dxf = new DxfParser().parseSync(text)!;
      expect(dxf.header['$INSUNITS']).toBe(4);
      expect(Object.keys(dxf.tables.layer.layers)).toEqual(expect.arrayContaining([...LAYERS]));
      const points = dxf.entities.flatMap((entity) => {
        layers.add(entity.layer);
        return 'vertices' in entity ? (entity.vertices as { x: number; y: number }[]) : [];
      });
      for (const { name, fromMm, toMm } of drawnLengths(page)) {
        if (name.startsWith('check bar')) continue;
        for (const [x, y] of [fromMm, toMm]) {
          expect(Math.min(...points.map((point) => Math.hypot(point.x - x, point.y - y))), name).toBeLessThan(0.001);
        }
      }
    }
    for (const layer of ['cut', 'score', 'fold', 'drill', 'note']) expect(layers).toContain(layer);
  });
});
