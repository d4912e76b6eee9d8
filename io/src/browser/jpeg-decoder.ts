import { FormatError } from '#core';
import { requireWhole, wholeDecoder, withoutExtras } from '../decoding/whole-decoder.ts';
import type { RowDecoder } from '../decoding/row-decoder.ts';
import type { StoredPicture } from '../scan-metadata/index.ts';

/** Canvases are limited in size; the picture is read off in bands. */
const BAND_ROWS = 512;

/**
 * Rows of a JPEG as the browser itself decodes it, untouched by colour management and rotation: the way without
 * isolation. A browser that blurs what canvases give back, against tracking, blurs this too.
 * @throws FormatError too-large
 */
export function jpegDecoder(bytes: Uint8Array, stored: StoredPicture): RowDecoder {
  requireWhole(stored);
  const { widthPx, heightPx } = stored;
  const channels = stored.colour === 'rgb' ? 3 : 1;
  return wholeDecoder(stored, async () => {
    const bitmap = await decoded(bytes);
    try {
      if (bitmap.width !== widthPx || bitmap.height !== heightPx) throw damaged();
      const out = new Uint8Array(widthPx * heightPx * channels);
      for (let top = 0; top < heightPx; top += BAND_ROWS) {
        const rows = Math.min(BAND_ROWS, heightPx - top);
        const context = new OffscreenCanvas(widthPx, rows).getContext('2d', { willReadFrequently: true });
        if (!context)
          throw new FormatError('too-large', 'The JPEG is too wide for this browser. Crop it to the plate.');
        context.drawImage(bitmap, 0, -top);
        const { data } = context.getImageData(0, 0, widthPx, rows);
        out.set(withoutExtras(data, 4, channels, 8), top * widthPx * channels);
      }
      return out;
    } finally {
      bitmap.close();
    }
  });
}

async function decoded(bytes: Uint8Array): Promise<ImageBitmap> {
  try {
    return await createImageBitmap(new Blob([bytes as Uint8Array<ArrayBuffer>], { type: 'image/jpeg' }), {
      colorSpaceConversion: 'none',
      premultiplyAlpha: 'none',
      imageOrientation: 'none' as ImageOrientation,
    });
  } catch {
    throw damaged();
  }
}

function damaged(): FormatError {
  return new FormatError('damaged', 'The picture is damaged and cannot be read. Scan or save it again.');
}
