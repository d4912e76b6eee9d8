/** Rendered scans as files that state their resolution, and (PNG) their tone curve. */
import { writeFile } from 'node:fs/promises';
import { crc32 } from 'node:zlib';
import sharp, { type Sharp } from 'sharp';
import type { Raster } from '#core';

const MM_PER_INCH = 25.4;

function picture(raster: Raster): Sharp {
  if (!(raster.samples instanceof Uint8Array)) throw new Error('only 8-bit scans are written as files');
  const channels = raster.channels === 3 ? 3 : 1;
  const bytes = Buffer.from(raster.samples.buffer, raster.samples.byteOffset, raster.samples.byteLength);
  const image = sharp(bytes, { raw: { width: raster.widthPx, height: raster.heightPx, channels } });
  return channels === 1 ? image.toColourspace('b-w') : image;
}

function chunk(type: string, data: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(type, 'latin1'), data]);
  const out = Buffer.alloc(body.length + 8);
  out.writeUInt32BE(data.length, 0);
  body.copy(out, 4);
  out.writeUInt32BE(crc32(body), body.length + 4);
  return out;
}

/** PNG with pHYs (pixels per metre) and sRGB. */
export async function writePng(path: string, raster: Raster, xMmPerPx: number, yMmPerPx: number): Promise<void> {
  const plain = await picture(raster).png({ compressionLevel: 9, adaptiveFiltering: true }).toBuffer();
  const physical = Buffer.alloc(9);
  physical.writeUInt32BE(Math.round(1000 / xMmPerPx), 0);
  physical.writeUInt32BE(Math.round(1000 / yMmPerPx), 4);
  physical[8] = 1;
  const pieces: Uint8Array[] = [plain.subarray(0, 8)];
  for (let at = 8; at < plain.length; ) {
    const end = at + 12 + plain.readUInt32BE(at);
    const type = plain.toString('latin1', at + 4, at + 8);
    // The encoder states a resolution of its own, which nobody measured.
    if (type !== 'pHYs') pieces.push(plain.subarray(at, end));
    if (type === 'IHDR') pieces.push(chunk('sRGB', Buffer.of(0)), chunk('pHYs', physical));
    at = end;
  }
  await writeFile(path, Buffer.concat(pieces));
}

/** TIFF, deflate, resolution in pixels per inch; states no tone curve, as most scanners' files. */
export async function writeTiff(path: string, raster: Raster, xMmPerPx: number, yMmPerPx: number): Promise<void> {
  const file = await picture(raster)
    .tiff({
      compression: 'deflate',
      predictor: 'horizontal',
      xres: 1 / xMmPerPx,
      yres: 1 / yMmPerPx,
      resolutionUnit: 'inch',
    })
    .toBuffer();
  await writeFile(path, file);
}

export function mmPerPxAt(dotsPerInch: number): number {
  return MM_PER_INCH / dotsPerInch;
}
