/** What the Sheets page knows: which sheet, on which paper, for which printer, and the pages that follow. */
import type { PrinterRecord, SheetChoicesRecord, WorkshopDraft } from '#core';
import type { BuildPlan, Page, PaperName, PrintFactors, SheetName } from '#core/sheets';
import { isCamerawrightError } from '#core';
import {
  PAPERS,
  SHEETS,
  SHEET_NAMES,
  UNCORRECTED,
  drawnLengths,
  isSheetName,
  planOf,
  printFactors,
  printerStretch,
  sheetCamera,
  sheetChoices,
  sheetPages,
} from '#core/sheets';
import { theCamera } from '../shell/index.ts';
import type { Bench } from '../shell/index.ts';

export type Wanted = SheetName | 'all';

export type SheetsDraft = NonNullable<WorkshopDraft['sheets']>;

/** The lengths a maker may give on this page. */
export type LengthKey =
  | 'kerfMm' | 'sawKerfMm' | 'holderWidthMm' | 'plateBlankMm' | 'gaugeHeightMm' | 'spoolCoreMm' | 'rollThicknessMm';

export type Laid =
  | { readonly kind: 'pages'; readonly pages: readonly Page[]; readonly plan: BuildPlan; readonly problems: readonly string[] }
  | { readonly kind: 'missing'; readonly sentence: string };

export class SheetsDesk {
  readonly #bench: Bench;
  #page = $state(0);

  constructor(bench: Bench) {
    this.#bench = bench;
  }

  get choices(): SheetChoicesRecord {
    return this.#bench.workshop.document.sheets ?? {};
  }

  get wanted(): Wanted {
    const { sheet } = this.choices;
    return sheet === 'all' || (sheet !== undefined && isSheetName(sheet)) ? sheet : 'gauge';
  }

  get title(): string {
    return this.wanted === 'all' ? 'All of it' : (SHEETS.find(({ name }) => name === this.wanted)?.title ?? '');
  }

  get paper(): PaperName {
    return this.choices.paper ?? 'a4';
  }

  get printers(): readonly PrinterRecord[] {
    return this.#bench.workshop.document.printers;
  }

  get printer(): PrinterRecord | null {
    return this.printers.find(({ id }) => id === this.choices.printerId) ?? null;
  }

  get stretch(): PrintFactors {
    return printerStretch(this.printer);
  }

  get lengths(): 'mm' | 'in' {
    return this.#bench.appearance.plainUnit === 'in' ? 'in' : 'mm';
  }

  /** Named as the sheets name it, without the day's hours. */
  get date(): string {
    return this.#bench.clock.now();
  }

  readonly laid = $derived.by<Laid>(() => this.layOut({ tiled: true, ...this.stretch }));

  /** The sheet wanted, for a printer or (not tiled) for a cutter. */
  layOut(as: PrintFactors & { readonly tiled: boolean }): Laid {
    const { workshop } = this.#bench;
    const { camera, document } = workshop;
    if (camera === null) {
      return { kind: 'missing', sentence: 'Choose or begin a camera: the sheets are made to its measure.' };
    }
    try {
      const plan = planOf(sheetCamera(camera, document), sheetChoices(document));
      const head = {
        camera: camera.name,
        date: this.date.slice(0, 10),
        version: this.#bench.version,
        lengths: this.lengths,
        printer: as.tiled ? (this.printer?.name ?? null) : null,
      };
      const names = this.wanted === 'all' ? SHEET_NAMES : [this.wanted];
      const problems: string[] = [];
      const pages = names.flatMap((name) => {
        try {
          return sheetPages(name, { plan, lengths: this.lengths, date: this.date }, { paper: this.paper, ...as }, head);
        } catch (error) {
          if (!isCamerawrightError(error) || names.length === 1) {
            throw error;
          }
          problems.push(`${name}: ${error.message}`);
          return [];
        }
      });
      return { kind: 'pages', pages, plan, problems };
    } catch (error) {
      if (!isCamerawrightError(error)) {
        throw error;
      }
      return { kind: 'missing', sentence: error.message };
    }
  }

  readonly lengthCount = $derived.by(() =>
    this.laid.kind === 'pages'
      ? this.laid.pages.flatMap(drawnLengths).filter(({ name }) => !name.startsWith('check bar')).length
      : 0,
  );

  get pageIndex(): number {
    return this.laid.kind === 'pages' ? Math.min(this.#page, Math.max(0, this.laid.pages.length - 1)) : 0;
  }

  turnTo(index: number): void {
    this.#page = Math.max(0, index);
  }

  get page(): Page | null {
    return this.laid.kind === 'pages' ? (this.laid.pages[this.pageIndex] ?? null) : null;
  }

  get cameraName(): string {
    const { camera } = this.#bench.workshop;
    return camera === null ? '' : theCamera(camera.name);
  }

  choose(wanted: Wanted): void {
    this.#page = 0;
    this.edit('which sheet', (sheets) => {
      sheets.sheet = wanted;
    });
  }

  edit(label: string, recipe: (sheets: SheetsDraft) => void): void {
    this.#bench.workshop.edit(label, (draft) => {
      draft.sheets ??= {};
      recipe(draft.sheets);
    });
  }

  /** Sets or clears one length, with what was typed for it. */
  setLength(key: LengthKey, label: string, value: number | null, typed: string | null): void {
    this.edit(label, (sheets) => {
      if (value === null) {
        delete sheets[key];
      } else {
        sheets[key] = value;
      }
      sheets.typed = without(sheets.typed, key, typed);
    });
  }

  addPrinter(): void {
    const id = this.#bench.newId();
    const createdAt = this.#bench.clock.now();
    const name = `Printer ${this.printers.length + 1}`;
    this.#bench.workshop.edit('new printer', (draft) => {
      draft.printers.push({ id, name, createdAt, calibrations: [] });
      draft.sheets ??= {};
      draft.sheets.printerId = id;
    });
  }

  namePrinter(name: string): void {
    const { printer } = this;
    if (printer === null) {
      return;
    }
    this.#bench.workshop.edit('name of a printer', (draft) => {
      const found = draft.printers.find(({ id }) => id === printer.id);
      if (found !== undefined) {
        found.name = name;
      }
    });
  }

  /**
   * Keeps what the bars of a page measured, printed as the pages are now.
   * @returns a sentence when it cannot be, else `null`
   */
  keepCorrection(measured: { readonly acrossMm: number; readonly upMm: number }): string | null {
    const { printer, stretch } = this;
    if (printer === null) {
      return 'Choose the printer first.';
    }
    try {
      const next = printFactors({ ...measured, printedWith: stretch });
      const id = this.#bench.newId();
      const at = this.#bench.clock.now();
      const paper = PAPERS[this.paper].name;
      this.#bench.workshop.edit('correction of a printer', (draft) => {
        draft.printers.find((one) => one.id === printer.id)?.calibrations.push({
          id,
          at,
          paper,
          xFactor: 1 / next.xFactor,
          yFactor: 1 / next.yFactor,
          readings: [
            { axis: 'x', drawnMm: 100 * stretch.xFactor, printedMm: measured.acrossMm },
            { axis: 'y', drawnMm: 100 * stretch.yFactor, printedMm: measured.upMm },
          ],
        });
      });
      return null;
    } catch (error) {
      if (!isCamerawrightError(error)) {
        throw error;
      }
      return error.message;
    }
  }

  /** Goes back to pages as they are. */
  dropCorrection(): void {
    const { printer } = this;
    if (printer === null) {
      return;
    }
    const id = this.#bench.newId();
    const at = this.#bench.clock.now();
    this.#bench.workshop.edit('no correction of a printer', (draft) => {
      draft.printers.find((one) => one.id === printer.id)?.calibrations.push({ id, at, ...UNCORRECTED });
    });
  }
}

function without(typed: SheetsDraft['typed'], key: string, text: string | null): Record<string, string> {
  const rest = Object.fromEntries(Object.entries(typed ?? {}).filter(([other]) => other !== key));
  return text === null ? rest : { ...rest, [key]: text };
}
