/** Zips of workshops and the shelf of scans, loaded when first wanted: the first page needs neither. */
export { endingOf, openScanShelf, packWorkshop, scansOf, sha256Hex, unpackWorkshop } from '#io/browser';
