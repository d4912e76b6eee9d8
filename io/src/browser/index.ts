/** Adapters for the browser: what the app may use of the world. */
export { openShelf } from '../store/browser.ts';
export type { Persistence, ShelfEntry, ShelfOptions, WorkshopShelf } from '../store/browser.ts';
export { endingOf, packWorkshop, scansOf, unpackWorkshop } from '../archive/workshop-zip.ts';
export type { KeptScan } from '../archive/workshop-zip.ts';
export { newId } from '../store/id.ts';
export { sha256Hex } from './sha256.ts';
export { notKeptSentence, openScanShelf } from './scan-shelf.ts';
export type { HolePicture, Keeping, ScanShelf, ScanShelfOptions } from './scan-shelf.ts';
export { systemClock as browserClock } from '../system-clock.ts';
export { instantOfIso, timeZone } from '../time-zone.ts';
export type { TimeZone } from '../time-zone.ts';
export { openPictureRoom } from './picture-room.ts';
export { openPlateRoom } from './plate-room.ts';
export { browserSaver } from './saver.ts';
export { greyFile } from '../encoding/grey-file.ts';
export type { GreyFormat, GreyImage } from '../encoding/grey-file.ts';
