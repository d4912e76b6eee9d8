/**
 * What lies on the plate bench: the scans opened since the page was loaded, the one being read, the plate and the pass
 * that are looked at. Readings become passes of the workshop at once, so a reload loses nothing; the file's bytes
 * stay only as long as the page, because they can be opened again.
 */
import type {
  HoleReading, Illumination, PassRecord, PlateRecord, ScanReading, ScanRecord, ScanScale, ToneCurve,
} from '#core';
import { isCamerawrightError, passFromReading, thawed } from '#core';
import type { HolePicture, ScanShelf } from '#io/browser';
import type { PlateRoom, ScanLook, ScanMeasurement, ScanRequest } from '#io/ports';
import type { Bench } from '../shell/index.ts';
import { rememberMeasured, unmeasuredDemo } from './demo.ts';
import { nextPlateName, passLines } from './passes.ts';
import type { PassLine } from './passes.ts';
import { verdictRecord } from './verdict.ts';
import type { Place } from './view.ts';

/** What the maker says of a scan; `null` and `unknown` leave it to the file. */
export interface Given {
  readonly dpi: { readonly x: number; readonly y: number } | null;
  readonly scale: ScanScale | null;
  readonly tone: ToneCurve | null;
  readonly illumination: Illumination;
  readonly scannedFace: ScanRecord['scannedFace'];
  readonly mirrored: boolean;
  /** From +x counter-clockwise as displayed; `null`: no mark. */
  readonly markAngleRad: number | null;
}

/** A scan whose bytes are at hand. */
export interface OpenScan {
  readonly sha256: string;
  readonly bytes: Blob;
  readonly fileName: string;
  readonly given: Given;
  /** `null` while the scale is asked for, and for a scan that was read on an earlier visit. */
  readonly measurement: ScanMeasurement | null;
  /** `null` only for a scan that was read on an earlier visit. */
  readonly look: ScanLook | null;
  readonly plateId: string;
}

/** A scan that was looked at and now waits for its scale. */
export type AskingScan = OpenScan & { readonly look: ScanLook };

export interface Job {
  readonly fileName: string;
  readonly share: number;
  readonly word: string;
  /** How many scans wait behind this one. */
  readonly waiting: number;
}

export interface Trouble {
  readonly fileName: string;
  readonly sentence: string;
}

/** A reading to be made: for a plate, of these bytes, in this light. */
export interface Order {
  readonly bytes: Blob;
  readonly fileName: string;
  readonly plateId: string;
  readonly given: Given;
  /** Where in the scan the wanted hole is, px; left out: the largest. */
  readonly near?: Place;
}

const chosenKey = 'camerawright.plate';

/** Twice the same hole: its centre moved by less than this share of its width. */
const SAME_HOLE = 0.5;
const MM_PER_INCH = 25.4;
/** A second hole smaller than this share of the first is a stray, not another plate's. */
export const STRAY_SHARE = 0.6;

export class PlateDesk {
  readonly #bench: Bench;
  readonly #shelf: ScanShelf;
  readonly #openRoom: () => PlateRoom;
  #room: PlateRoom | null = null;
  #orders: Order[] = [];
  #running = false;
  #welcomed = false;

  #plateId = $state('');
  #passId = $state<string | null>(null);
  #job = $state.raw<Job | null>(null);
  #trouble = $state.raw<Trouble | null>(null);
  /** By SHA-256 of the file. */
  #open = $state.raw<Readonly<Record<string, OpenScan>>>({});
  #asking = $state.raw<AskingScan | null>(null);
  /** Pictures of holes from the shelf, by pass; `null`: looked for and not there. */
  #shelved = $state.raw<Readonly<Record<string, HolePicture | null>>>({});

  constructor(bench: Bench, parts: { readonly shelf: ScanShelf; readonly openRoom: () => PlateRoom }) {
    this.#bench = bench;
    this.#shelf = parts.shelf;
    this.#openRoom = parts.openRoom;
    try {
      this.#plateId = localStorage.getItem(chosenKey) ?? '';
    } catch {
      // Without storage the plate in the camera is looked at first.
    }
  }

  get job(): Job | null {
    return this.#job;
  }

  get trouble(): Trouble | null {
    return this.#trouble;
  }

  /** The scan that needs a scale before it can be read. */
  get asking(): AskingScan | null {
    return this.#asking;
  }

  get plates(): readonly PlateRecord[] {
    return this.#bench.workshop.document.plates;
  }

  /** The plate looked at: the chosen one, else the one in the camera, else the first. */
  get plate(): PlateRecord | null {
    const { plates } = this;
    return plates.find(({ id }) => id === this.#plateId) ?? this.#bench.workshop.plate ?? plates[0] ?? null;
  }

  get lines(): readonly PassLine[] {
    return this.plate === null ? [] : passLines(this.plate);
  }

  /** The pass looked at: the chosen one, else the last in which the hole was measured. */
  get line(): PassLine | null {
    const { lines } = this;
    return (
      lines.find(({ pass }) => pass.id === this.#passId) ??
      lines.findLast(({ pass }) => pass.figures !== undefined) ??
      null
    );
  }

  get pass(): PassRecord | null {
    return this.line?.pass ?? null;
  }

  choosePlate(plateId: string): void {
    this.#plateId = plateId;
    this.#passId = null;
    this.#trouble = null;
    try {
      localStorage.setItem(chosenKey, plateId);
    } catch {
      // see above
    }
  }

  choosePass(passId: string): void {
    this.#passId = passId;
  }

  /** The open scan behind a pass, when its file was opened since the page was loaded. */
  scanOf(pass: PassRecord | null): OpenScan | null {
    return pass?.scan == null ? null : (this.#open[pass.scan.sha256] ?? null);
  }

  /** The hole of the open scan that a pass holds. */
  holeOf(pass: PassRecord, scan: OpenScan): { readonly hole: HoleReading; readonly index: number } | null {
    const center = pass.figures?.scanCenter;
    const holes = scan.measurement?.reading.holes ?? [];
    if (center === undefined) {
      return null;
    }
    const away = (hole: HoleReading): number =>
      Math.hypot(hole.leastSquares.center.xMm - center.xMm, hole.leastSquares.center.yMm - center.yMm);
    const index = holes.findIndex((hole) => away(hole) < SAME_HOLE * hole.outlineDiameterMm);
    const hole = holes[index];
    return hole === undefined ? null : { hole, index };
  }

  /** Pixels for a pass: from the open scan, else from the shelf (which is asked on the way). */
  pictureOf(pass: PassRecord | null): HolePicture | null {
    return pass === null ? null : (this.#shelved[pass.id] ?? null);
  }

  /** Looks for the pixels and the scan of a pass kept from an earlier visit. */
  async fetch(pass: PassRecord, plateId: string): Promise<void> {
    if (pass.id in this.#shelved) {
      return;
    }
    this.#shelved = { ...this.#shelved, [pass.id]: null };
    const picture = await this.#shelf.picture(pass.id);
    if (picture !== null) {
      this.#shelved = { ...this.#shelved, [pass.id]: picture };
    }
    const { scan } = pass;
    if (scan !== null && !(scan.sha256 in this.#open)) {
      const bytes = await this.#shelf.scan(scan.sha256);
      if (bytes !== null && !(scan.sha256 in this.#open)) {
        this.#keep({
          sha256: scan.sha256, bytes, fileName: scan.fileName, plateId, given: givenOf(pass), measurement: null, look: null,
        });
      }
    }
  }

  /** What to assume of a new scan of a plate: the same face and light as last time. */
  givenFor(plate: PlateRecord | null): Given {
    const passes = [...(plate?.passes ?? []), ...this.plates.flatMap((other) => other.passes)];
    const own = plate?.passes.at(-1);
    const last = own ?? passes.at(-1);
    return {
      dpi: null,
      scale: null,
      tone: null,
      illumination: last?.illumination ?? 'unknown',
      scannedFace: last?.scan?.scannedFace ?? 'film',
      mirrored: last?.scan?.mirrored ?? false,
      markAngleRad: own?.scan?.markAngleRad ?? null,
    };
  }

  /** The resolution that was typed in last, in pixels per inch, to be offered again. */
  get lastTypedDpi(): { readonly x: number; readonly y: number } | null {
    const typed = this.plates.flatMap(({ passes }) => passes).findLast(({ scale }) => scale?.source === 'given');
    return typed?.scale === undefined ? null : { x: MM_PER_INCH / typed.scale.xMmPerPx, y: MM_PER_INCH / typed.scale.yMmPerPx };
  }

  /** Makes a plate and looks at it. */
  addPlate(name?: string): string {
    const id = this.#bench.newId();
    const plate = {
      id,
      name: name ?? nextPlateName(this.plates),
      createdAt: this.#bench.clock.now(),
      passes: [],
      ...(this.#bench.workshop.camera !== null && { targetCameraId: this.#bench.workshop.camera.id }),
    };
    this.#bench.workshop.edit('new plate', (draft) => {
      draft.plates.push(plate);
    });
    this.choosePlate(id);
    return id;
  }

  /**
   * Takes files in hand. One file is the next pass of the plate looked at; several are a plate each, named after
   * their files.
   */
  async take(files: readonly File[]): Promise<void> {
    this.#trouble = null;
    if (files.length > 1) {
      for (const file of files) {
        const plateId = this.addPlate(file.name.replace(/\.[a-z0-9]+$/i, ''));
        this.order({ bytes: file, fileName: file.name, plateId, given: this.givenFor(null) });
      }
      return;
    }
    const [file] = files;
    if (file !== undefined) {
      const plateId = this.plate?.id ?? this.addPlate();
      this.order({ bytes: file, fileName: file.name, plateId, given: this.givenFor(this.plate) });
    }
  }

  /** On the first visit: reads the scans that come with the demo, one after another. */
  async welcome(): Promise<void> {
    if (this.#welcomed) {
      return;
    }
    this.#welcomed = true;
    try {
      for (const { plateId, url, fileName, given } of await unmeasuredDemo(this.#bench.workshop.document, document.baseURI)) {
        const answer = await fetch(url);
        if (answer.ok) {
          this.order({ bytes: await answer.blob(), fileName, plateId, given });
        }
      }
    } catch {
      // The demo's scans are not at hand (served from elsewhere, or offline too early): the bench works without them.
      this.#welcomed = false;
    }
  }

  /** Puts a reading in line. */
  order(order: Order): void {
    this.#orders.push(order);
    if (this.#job !== null) {
      this.#job = { ...this.#job, waiting: this.#orders.length };
    }
    void this.#work();
  }

  /** Reads an open scan again, as the maker now says it is; the hole of the pass stays the one that is looked at. */
  readAgain(scan: OpenScan, change: Partial<Given>, pass: PassRecord | null = null): void {
    const given = { ...scan.given, ...change };
    const near = pass === null ? null : placePx(pass);
    this.order({
      bytes: scan.bytes, fileName: scan.fileName, plateId: scan.plateId, given, ...(near !== null && { near }),
    });
  }

  /** Face, mark and mirror do not change the reading, only how it lies on the plate: no second look at the pixels. */
  turn(scan: OpenScan, change: Partial<Pick<Given, 'scannedFace' | 'mirrored' | 'markAngleRad'>>, pass: PassRecord): void {
    const found = this.holeOf(pass, scan);
    if (found === null) {
      this.readAgain(scan, change, pass);
      return;
    }
    const turned = { ...scan, given: { ...scan.given, ...change } };
    this.#keep(turned);
    this.record(turned, found.hole);
  }

  /** Stops everything that is being read or waits; what is recorded stays. */
  cancel(): void {
    this.#orders = [];
    this.#room?.cancel();
  }

  /** Puts aside the question for a scale. */
  dropQuestion(): void {
    this.#asking = null;
  }

  dismissTrouble(): void {
    this.#trouble = null;
  }

  /** The other holes of a scan of about the same size become plates of their own, in the order of the scan. */
  enterEach(scan: OpenScan, pass: PassRecord): void {
    const chosen = this.holeOf(pass, scan)?.hole;
    const plateId = this.plate?.id;
    for (const hole of scan.measurement?.reading.holes ?? []) {
      if (chosen !== undefined && hole !== chosen && hole.outlineDiameterMm >= STRAY_SHARE * chosen.outlineDiameterMm) {
        this.record(scan, hole, this.addPlate());
      }
    }
    if (plateId !== undefined) {
      this.choosePlate(plateId);
    }
  }

  async #work(): Promise<void> {
    if (this.#running) {
      return;
    }
    this.#running = true;
    try {
      for (let order = this.#orders.shift(); order !== undefined; order = this.#orders.shift()) {
        await this.#read(order);
      }
    } finally {
      this.#running = false;
      this.#job = null;
    }
  }

  async #read(order: Order): Promise<void> {
    const { bytes, fileName, given } = order;
    let reached = 0;
    const tell = (share: number, word: string): void => {
      // Decoding and measuring count each for itself; the bar never goes back.
      reached = Math.max(reached, Math.min(1, share));
      this.#job = { fileName, share: reached, word, waiting: this.#orders.length };
    };
    tell(0, 'opening the scan');
    try {
      this.#room ??= this.#openRoom();
      const room = this.#room;
      try {
        const measurement = await room.measure(bytes, fileName, requestOf(given), tell);
        const { sha256 } = measurement.opened;
        const scan: OpenScan = { sha256, bytes, fileName, plateId: order.plateId, given, measurement, look: measurement };
        this.#keep(scan);
        void this.#shelf.keepScan(sha256, bytes);
        this.#asking = null;
        const hole = wanted(measurement.reading, order.near);
        if (hole !== undefined) {
          this.record(scan, hole);
        }
      } catch (error) {
        if (!(isCamerawrightError(error) && error.code === 'no-scale')) {
          throw error;
        }
        tell(0.5, 'looking at the picture');
        const look = await room.look(bytes, fileName);
        const { sha256 } = look.opened;
        this.#asking = { sha256, bytes, fileName, plateId: order.plateId, given, measurement: null, look };
        this.choosePlate(order.plateId);
      }
    } catch (error) {
      this.#trouble = troubleOf(fileName, error);
    }
  }

  #keep(scan: OpenScan): void {
    this.#open = { ...this.#open, [scan.sha256]: scan };
  }

  /** Enters a reading as a pass of the scan's plate. */
  record(scan: OpenScan, hole: HoleReading, plateId = scan.plateId): void {
    const { measurement, given } = scan;
    const plate = this.plates.find(({ id }) => id === plateId);
    if (measurement === null || plate === undefined) {
      return;
    }
    const { clock, newId, workshop } = this.#bench;
    const { camera } = workshop;
    const verdict = camera === null ? null : verdictRecord(hole, camera);
    const pass = passFromReading({
      id: newId(),
      at: clock.now(),
      timeZone: clock.zone(),
      reading: measurement.reading,
      hole,
      scan: {
        sha256: measurement.opened.sha256,
        fileName: measurement.opened.fileName,
        scannedFace: given.scannedFace,
        mirrored: given.mirrored,
        ...(given.markAngleRad !== null && { markAngleRad: given.markAngleRad }),
      },
      ...(verdict !== null && { verdict }),
    });
    const picture = pictureFor(measurement, hole);
    if (picture !== null) {
      this.#shelved = { ...this.#shelved, [pass.id]: picture };
      void this.#shelf.keepPicture(pass.id, picture);
    }
    workshop.edit(`pass of ${plate.name}`, (draft) => {
      draft.plates.find(({ id }) => id === plateId)?.passes.push(thawed(pass));
    });
    rememberMeasured(plateId);
    if (this.plate?.id === plateId) {
      this.#passId = null;
    }
  }
}

function requestOf(given: Given): ScanRequest {
  return { dpi: given.dpi, scale: given.scale, tone: given.tone, illumination: given.illumination };
}

function troubleOf(fileName: string, error: unknown): Trouble | null {
  if (isCamerawrightError(error)) {
    return error.code === 'cancelled' ? null : { fileName, sentence: error.message };
  }
  const said = error instanceof Error ? error.message : String(error);
  return { fileName, sentence: `The scan could not be read (${said}). Save it again as TIFF or PNG and open it once more.` };
}

function pictureFor(measurement: ScanMeasurement, hole: HoleReading): HolePicture | null {
  const picture = measurement.previews[measurement.reading.holes.indexOf(hole)];
  const { xMmPerPx, yMmPerPx } = measurement.reading.scale;
  return picture === undefined ? null : { picture, xMmPerPx, yMmPerPx };
}

/** The hole nearest to a place in the scan; without a place the largest, which comes first. */
function wanted(reading: ScanReading, near: Place | undefined): HoleReading | undefined {
  const { holes, scale } = reading;
  if (near === undefined) {
    return holes[0];
  }
  const away = ({ leastSquares: { center } }: HoleReading): number =>
    Math.hypot(center.xMm / scale.xMmPerPx - near.x, center.yMm / scale.yMmPerPx - near.y);
  return [...holes].sort((a, b) => away(a) - away(b))[0];
}

/** Where the hole of a pass is in its scan, px: the one place that a corrected scale does not move. */
function placePx(pass: PassRecord): Place | null {
  const center = pass.figures?.scanCenter;
  return center === undefined || pass.scale === undefined
    ? null
    : { x: center.xMm / pass.scale.xMmPerPx, y: center.yMm / pass.scale.yMmPerPx };
}

/** What the maker had said of the scan of a pass. */
function givenOf(pass: PassRecord): Given {
  const { scale, tone, scan } = pass;
  const told = scale !== undefined && scale.source !== 'file';
  const said = tone?.source === 'given' ? tone : null;
  return {
    dpi: told && scale.source === 'given' ? { x: MM_PER_INCH / scale.xMmPerPx, y: MM_PER_INCH / scale.yMmPerPx } : null,
    scale:
      told && scale.source !== 'given'
        ? {
            xMmPerPx: scale.xMmPerPx,
            yMmPerPx: scale.yMmPerPx,
            source: scale.source,
            detail: scale.detail ?? '',
            ...(scale.relativeUncertainty !== undefined && { relativeUncertainty: scale.relativeUncertainty }),
          }
        : null,
    tone: said === null ? null : said.kind === 'gamma' ? { kind: 'gamma', gamma: said.gamma ?? 2.2 } : { kind: said.kind },
    illumination: pass.illumination ?? 'unknown',
    scannedFace: scan?.scannedFace ?? 'film',
    mirrored: scan?.mirrored ?? false,
    markAngleRad: scan?.markAngleRad ?? null,
  };
}
