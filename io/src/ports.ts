/**
 * The small interfaces through which the faces meet the world. Each has one suite of tests
 * that every implementation (browser, Node, memory) must pass.
 */
import type {
  CancelCheck,
  EdgeTerm,
  FieldContrast,
  FieldView,
  FilmPoint,
  Illumination,
  ImageGrid,
  PatchArea,
  Photograph,
  PhotographQuestion,
  PixelSource,
  PixelWindow,
  Progress,
  Raster,
  RulerMarks,
  ScanFacts,
  ScanReading,
  ScanScale,
  ScannerRecord,
  ScenePhotograph,
  ShapeImage,
  ToneCurve,
  TwoEnds,
  Workshop,
  WorkshopDraft,
} from '#core';

/** What the file itself says about the scan; absent statements are `null`, with the reason in words. */
export interface OpenedScan {
  readonly pixels: PixelSource;
  /** `null` when the file gives no usable resolution: none, no unit, or a default nobody measured (72, 96). */
  readonly scale: ScanScale | null;
  /** Sentence for the maker: where the scale came from, or why there is none and how to give it. */
  readonly scaleNote: string;
  /** `null` when the file does not state its tone curve. */
  readonly tone: ToneCurve | null;
  readonly toneNote: string;
  /** What does not agree inside the file, as sentences. */
  readonly warnings: readonly string[];
  readonly format: 'tiff' | 'png' | 'jpeg';
  /** SHA-256 of the file's bytes, lower-case hex: the scan's name in the workshop. */
  readonly sha256: string;
  close(): void;
}

/** Opens scans, strictly: a truncated, damaged or absurd file is a FormatError with a sentence for the maker. */
export interface ImageSource {
  /**
   * @param watch told of every reading of pixels that follows; asked whether to go on
   * @throws FormatError truncated, damaged, unsupported, too-large
   */
  open(bytes: Uint8Array, fileName: string, watch?: JobWatch): Promise<OpenedScan>;
}

/** What the maker says about a scan; what is not said is taken from the file. */
export interface ScanRequest {
  /** Pixels per inch, x and y apart. Wins over the file's own statement. */
  readonly dpi?: { readonly x: number; readonly y: number } | null;
  /** A scale from elsewhere (a ruler in the scan, a calibrated scanner). Wins over `dpi`. */
  readonly scale?: ScanScale | null;
  /** A rule lies in the scan: its scale wins over the file's. `divisionMm` where its marks do not tell. */
  readonly ruler?: { readonly divisionMm?: number } | null;
  /** Two ends of something of known length in the scan. Win over the file's statement. */
  readonly ends?: Pick<TwoEnds, 'ends' | 'lengthMm'> | null;
  /** The middle of the plate lies half-way between these two places, px of the scan. Wins over a drawn cross. */
  readonly middle?: { readonly between: TwoEnds['ends']; readonly shrink?: number } | null;
  /** The scanner it was made with: its calibration wins over the file's own statement. */
  readonly scanner?: Pick<ScannerRecord, 'name' | 'calibrations'> | null;
  readonly tone?: ToneCurve | null;
  /** `unknown` when not said. */
  readonly illumination?: Illumination;
  /** In place of the edge term of the illumination. */
  readonly edge?: EdgeTerm | null;
  readonly expect?: 'single' | 'sheet';
}

/** What was found in the file, as plain data that can cross to another thread or be stored. */
export interface OpenedFacts {
  readonly fileName: string;
  readonly format: OpenedScan['format'];
  readonly widthPx: number;
  readonly heightPx: number;
  readonly channels: number;
  readonly bitsPerSample: 8 | 16;
  readonly scale: ScanScale | null;
  readonly scaleNote: string;
  readonly tone: ToneCurve | null;
  readonly toneNote: string;
  readonly warnings: readonly string[];
  readonly sha256: string;
}

/** A piece of the scan to be shown: 8 bits, 1 (gray) or 3 (colour) channels, encoded for a screen. */
export interface ScanPicture {
  /** Where in the scan, in its own pixels. */
  readonly window: PixelWindow;
  /** Pixels of the scan per pixel of the picture, on each axis. */
  readonly shrink: number;
  readonly picture: Raster;
}

/** A scan looked at, not yet measured: enough to ask for a missing scale over the picture itself. */
export interface ScanLook {
  readonly opened: OpenedFacts;
  readonly overview: ScanPicture;
}

export interface ScanMeasurement extends ScanLook {
  /** What the measurement stood on: the maker's word first, then the file's, then an estimate. */
  readonly facts: ScanFacts;
  /** How the tone curve was come by, as a sentence. */
  readonly toneNote: string;
  readonly reading: ScanReading;
  /** One for each hole of the reading, in the same order. */
  readonly previews: readonly ScanPicture[];
}

/** A scan looked through for a rule. */
export interface RuleLook {
  readonly opened: OpenedFacts;
  readonly marks: readonly RulerMarks[];
}

/** Where heavy work on scans is done: in a worker in the browser, in place in Node. */
export interface PlateRoom {
  /**
   * @throws InputError no-scale when neither file nor maker gives one (then `look` and ask)
   * @throws FormatError for a file that cannot be used
   * @throws ModelError no-hole, cut-by-border, too-few-pixels, cancelled
   */
  measure(
    bytes: Uint8Array | Blob,
    fileName: string,
    request: ScanRequest,
    onProgress?: Progress,
  ): Promise<ScanMeasurement>;
  look(bytes: Uint8Array | Blob, fileName: string): Promise<ScanLook>;
  /**
   * Values of equal patches in a scan, area by area: the strips of a step sheet, the steps of a wedge beside it.
   * @throws InputError out-of-range where an area does not fit into the scan
   */
  patches(bytes: Uint8Array | Blob, fileName: string, areas: readonly PatchArea[]): Promise<number[][]>;
  /** The marks of a rule in a scan, for calibrating a scanner; none: an empty list. */
  rule(bytes: Uint8Array | Blob, fileName: string): Promise<RuleLook>;
  /** Ends what is running; its promise is rejected with ModelError `cancelled`. */
  cancel(): void;
  close(): void;
}

/** What `photograph` is asked, but for the scene, which lies in the room already. */
export type PictureRequest = Omit<PhotographQuestion, 'scene' | 'progress' | 'cancelled'>;

/** Where the heavy work on a hole's picture is done: in a worker in the browser. */
export interface PictureRoom {
  /** The photograph that is drawn from now on. */
  place(scene: ScenePhotograph): void;
  /**
   * The point image across the ray to a film point; `null` where the plate takes all light.
   * @throws InputError as `shapeImage`
   */
  pointImage(view: FieldView, point: FilmPoint, grid: ImageGrid): Promise<ShapeImage | null>;
  /** @throws InputError as `fieldContrast` */
  contrast(view: FieldView, frequenciesPerMm: Float64Array): Promise<readonly FieldContrast[]>;
  /**
   * The picture at the size asked.
   * @throws InputError missing when no scene was placed, and as `photograph`
   * @throws ModelError cancelled
   */
  draw(request: PictureRequest, onProgress?: Progress): Promise<Photograph>;
  /** The same from the scene made smaller, for a first look. */
  preview(request: PictureRequest): Promise<Photograph>;
  /** Ends what is running; its promise is rejected with ModelError `cancelled`. The scene stays. */
  cancel(): void;
  close(): void;
}

/** An error as it crosses between threads. */
export interface PlainError {
  readonly name: string;
  readonly code: string | null;
  readonly message: string;
}

/** The present, told only here: the core gets times as arguments. */
export interface Clock {
  /** Now as ISO 8601 with offset. */
  now(): string;
  /** IANA name of the local zone. */
  zone(): string;
}

/** Hands a file to the person: a download in the browser, a path on disk at the command line. */
export interface Saver {
  save(fileName: string, mediaType: string, bytes: Uint8Array): Promise<void>;
}

/** How a long job is watched and stopped. */
export interface JobWatch {
  readonly progress?: Progress;
  readonly cancelled?: CancelCheck;
}

/**
 * How safe the workshop is. `failed`: the last state that was kept is still there, the changes since then are
 * only in this window; the message says what happened and what to do.
 */
export type StoreStatus =
  { readonly kind: 'saved' } | { readonly kind: 'saving' } | { readonly kind: 'failed'; readonly message: string };

/**
 * The workshop document. Reads are plain frozen data: what did not change is the same object as before,
 * so a face may compare by identity.
 */
export interface Store {
  /** The workshop as it is now, deeply frozen. */
  read(): Workshop;
  /** Calls the listener after every change of the workshop, of what can be undone, or of the status. */
  subscribe(listener: () => void): () => void;
  /**
   * One step of work: the recipe changes a draft, as plain data, and only what differs is written. Changes of the
   * same fields under the same label shortly after each other are one step to undo.
   * @param label what was done, in the maker's words: `focal length`
   * @throws InputError when the result is not a valid workshop; nothing is changed then
   */
  change(label: string, recipe: (draft: WorkshopDraft) => void): void;
  /**
   * Enters what the program found by itself (a scan of the demo measured in the background): kept like any change,
   * but no step of the maker's, so it neither can be undone nor hides the step that can.
   * @throws InputError when the result is not a valid workshop; nothing is changed then
   */
  enter(recipe: (draft: WorkshopDraft) => void): void;
  /** Takes another workshop's content in place of this one (a file opened over it), as one step to undo. */
  replace(label: string, workshop: Workshop): void;
  /** Takes back the last step of this window and returns its label; `null` when there is none. */
  undo(): string | null;
  redo(): string | null;
  /** Label of the step that undo would take back; `null` when there is none. */
  readonly undoLabel: string | null;
  readonly redoLabel: string | null;
  readonly status: StoreStatus;
  /**
   * Resolves once everything up to now is kept for good.
   * @throws InputError `storage` when it could not be kept
   */
  flush(): Promise<void>;
  /** Keeps what is not kept yet and lets go of files and locks. The store is not to be used afterwards. */
  close(): Promise<void>;
}
