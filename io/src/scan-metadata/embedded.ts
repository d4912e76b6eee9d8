/** Blocks that TIFF, PNG and JPEG files carry alike: EXIF and the resource list of image editors. */
import { isCamerawrightError } from '#core';
import { ByteView } from './byte-view.ts';
import type { ResolutionStatement } from './metadata.ts';
import { TiffDirectory, readTiffHeader } from './tiff-directory.ts';

const CM_PER_INCH = 2.54;

export interface ExifStatements {
  readonly resolution: ResolutionStatement | null;
  /** ColorSpace 1. */
  readonly saysSrgb: boolean;
  /** 1: as stored. */
  readonly orientation: number;
}

const NOTHING: ExifStatements = { resolution: null, saysSrgb: false, orientation: 1 };

/**
 * What an EXIF block says. A damaged block says nothing: it is an extra, the picture does not need it.
 * @param block from its byte-order mark on
 * @source exif2010
 */
export function readExif(block: Uint8Array): ExifStatements {
  try {
    const header = readTiffHeader(block, 'EXIF block');
    if (!header) return NOTHING;
    const directory = new TiffDirectory(header, header.firstDirectoryAt);
    return {
      resolution: resolutionOf(directory, 'EXIF'),
      saysSrgb: exifSaysSrgb(directory, header),
      orientation: directory.number(274, 1),
    };
  } catch (error) {
    if (isCamerawrightError(error)) return NOTHING;
    throw error;
  }
}

/** Whether the EXIF part of a directory (tag 34665) names sRGB (tag 40961 = 1). */
export function exifSaysSrgb(
  directory: TiffDirectory,
  header: NonNullable<ReturnType<typeof readTiffHeader>>,
): boolean {
  const at = directory.number(34665, 0);
  if (at === 0) return false;
  try {
    return new TiffDirectory(header, at).number(40961, 0) === 1;
  } catch (error) {
    if (isCamerawrightError(error)) return false;
    throw error;
  }
}

/**
 * XResolution, YResolution and ResolutionUnit (282, 283, 296): inch when the unit is absent, none when it is 1.
 * @source tiff6-1992 section 8
 */
export function resolutionOf(directory: TiffDirectory, format: 'TIFF' | 'EXIF'): ResolutionStatement | null {
  const unit = directory.number(296, 2);
  const x = directory.number(282, NaN);
  const y = directory.number(283, NaN);
  if ((unit !== 2 && unit !== 3) || (Number.isNaN(x) && Number.isNaN(y))) return null;
  const factor = unit === 3 ? CM_PER_INCH : 1;
  return {
    // A lone axis stands for both in practice, but the other may differ: NaN makes it unusable.
    xPerInch: x * factor,
    yPerInch: y * factor,
    where: `${format} tags 282/283, ${unit === 3 ? 'centimetre' : 'inch'}`,
  };
}

/**
 * The second resolution that some image editors keep in their list of resources, number 0x03ED: 16.16 fixed
 * point, per inch. Layout from memory; the value only ever raises a warning or stands in for an absent one.
 */
export function editorResolution(block: Uint8Array): ResolutionStatement | null {
  const view = new ByteView(block, 'list of resources');
  let at = 0;
  while (view.holds(at, 12) && view.text(at, 4) === '8BIM') {
    const id = view.u16(at + 4);
    const nameBytes = 1 + view.u8(at + 6);
    const sizeAt = at + 6 + nameBytes + (nameBytes & 1);
    if (!view.holds(sizeAt, 4)) return null;
    const size = view.u32(sizeAt);
    if (id === 0x03ed && size >= 16 && view.holds(sizeAt + 4, 16)) {
      return {
        xPerInch: view.u32(sizeAt + 4) / 65536,
        yPerInch: view.u32(sizeAt + 12) / 65536,
        where: 'a second resolution kept by an image editor',
      };
    }
    at = sizeAt + 4 + size + (size & 1);
  }
  return null;
}
