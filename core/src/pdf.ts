/** The heavy writers: loaded only when a PDF or a DXF is asked for. */
export { pdfOf } from './sheets/pdf.ts';
export type { PdfHead } from './sheets/pdf.ts';
export { dxfOf } from './sheets/dxf.ts';
