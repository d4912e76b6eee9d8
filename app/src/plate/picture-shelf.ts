/**
 * Pictures of measured holes, kept on this device so that the pixels are there again after a reload. They are a
 * convenience: the outline is in the workshop, the scan itself with the maker, so a shelf that fails or was cleared
 * costs nothing but the view.
 */
import type { ScanPicture } from '#io/ports';

export interface ShelvedPicture {
  readonly picture: ScanPicture;
  readonly xMmPerPx: number;
  readonly yMmPerPx: number;
}

export interface PictureShelf {
  get(passId: string): Promise<ShelvedPicture | null>;
  put(passId: string, picture: ShelvedPicture): Promise<void>;
}
