/**
 * What lies on the plate bench: the scans opened since the page was loaded, the one being read, the plate and the pass
 * that are looked at. Readings become passes of the workshop at once, so a reload loses nothing; the file's bytes
 * stay only as long as the page, because they can be opened again.
 */
import type { HoleReading, Illumination, PassRecord, PlateRecord, ScanRecord, ScanScale, ToneCurve } from '#core';
import { isCamerawrightError, passFromReading, thawed } from '#core';
import type { PlateRoom, ScanLook, ScanMeasurement, ScanPicture, ScanRequest } from '#io/ports';
import type { Bench } from '../shell/index.ts';
import { nextPlateName, passLines } from './passes.ts';
import type { PassLine } from './passes.ts';
import type { PictureShelf, ShelvedPicture } from './picture-shelf.ts';
import { verdictRecord } from './verdict.ts';

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
  readonly bytes: Blob;
  readonly fileName: string;
  readonly given: Given;
  /** `null` while the scale is asked for. */
  readonly measurement: ScanMeasurement | null;
  readonly look: ScanLook;
  readonly plateId: string;
}

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
interface Order {
  readonly bytes: Blob;
  readonly fileName: string;
  readonly plateId: string;
  readonly given: Given;
}

/** The picture that belongs to a pass, placed in the scan. */
export type PassPicture = ShelvedPicture;

const chosenKey = 'camerawright.plate';

/** Twice the same hole: its centre moved by less than this share of its width. */
const SAME_HOLE = 0.5;

export class PlateDesk {
  readonly #bench: Bench;
  readonly #shelf: PictureShelf;
  readonly #openRoom: () => Promise<PlateRoom>;
  #room: Promise<PlateRoom> | null = null;
  #orders: Order[] = [];
  #running = false;
  #cancelled = false;

  #plateId = $state('');
  #passId = $state<string | null>(null);
  #job = $state.raw<Job | null>(null);
  #trouble = $state.raw<Trouble | null>(null);
  /** By SHA-256 of the file. */
  #open = $state.raw<Readonly<Record<string, OpenScan>>>({});
  #asking = $state.raw<OpenScan | null>(null);
  /** Pictures of holes from the shelf, by pass; `null`: looked for and not there. */
  #shelved = $state.raw<Readonly<Record<string, ShelvedPicture | null>>>({});

  constructor(bench: Bench, parts: { readonly shelf: PictureShelf; readonly openRoom: () => Promise<PlateRoom> }) {
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
  get asking(): OpenScan | null {
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
  pictureOf(pass: PassRecord | null): PassPicture | null {
    return pass === null ? null : (this.#shelved[pass.id] ?? null);
  }

  /** Looks for the pixels of a pass kept from an earlier visit. */
  async fetchPicture(pass: PassRecord): Promise<void> {
    if (pass.id in this.#shelved) {
      return;
    }
    this.#shelved = { ...this.#shelved, [pass.id]: null };
    const found = await this.#shelf.get(pass.id);
    if (found !== null) {
      this.#shelved = { ...this.#shelved, [pass.id]: found };
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
    return typed?.scale === undefined ? null : { x: 25.4 / typed.scale.xMmPerPx, y: 25.4 / typed.scale.yMmPerPx };
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

  /** Puts a reading in line. */
  order(order: Order): void {
    this.#orders.push(order);
    if (this.#job !== null) {
      this.#job = { ...this.#job, waiting: this.#orders.length };
    }
    void this.#work();
  }

  /** Reads an open scan again, as the maker now says it is. */
  readAgain(scan: OpenScan, change: Partial<Given>): void {
    const given = { ...scan.given, ...change };
    this.order({ bytes: scan.bytes, fileName: scan.fileName, plateId: scan.plateId, given });
  }

  /** Face, mark and mirror do not change the reading, only how it lies on the plate: no second look at the pixels. */
  turn(scan: OpenScan, change: Pick<Partial<Given>, 'scannedFace' | 'mirrored' | 'markAngleRad'>, hole: HoleReading): void {
    const turned = { ...scan, given: { ...scan.given, ...change } };
    this.#keep(turned);
    this.record(turned, hole);
  }

  /** Stops everything that is being read or waits; what is recorded stays. */
  async cancel(): Promise<void> {
    this.#orders = [];
    this.#cancelled = true;
    (await this.#room)?.cancel();
  }

  /** Puts aside the question for a scale. */
  dropQuestion(): void {
    this.#asking = null;
  }

  dismissTrouble(): void {
    this.#trouble = null;
  }

  async #work(): Promise<void> {
    if (this.#running) {
      return;
    }
    this.#running = true;
    try {
      for (let order = this.#orders.shift(); order !== undefined; order = this.#orders.shift()) {
        this.#cancelled = false;
        await this.#read(order);
      }
    } finally {
      this.#running = false;
      this.#job = null;
    }
  }

  async #read(order: Order): Promise<void> {
    const { bytes, fileName, given } = order;
    const tell = (share: number, word: string): void => {
      this.#job = { fileName, share, word, waiting: this.#orders.length };
    };
    tell(0, 'opening the scan');
    try {
      this.#room ??= this.#openRoom();
      const room = await this.#room;
      if (this.#cancelled) {
        return;
      }
      try {
        const measurement = await room.measure(bytes, fileName, requestOf(given), tell);
        const scan: OpenScan = { ...order, measurement, look: measurement };
        this.#keep(scan);
        this.#asking = null;
        const [hole] = measurement.reading.holes;
        if (hole !== undefined) {
          this.record(scan, hole);
        }
      } catch (error) {
        if (!(isCamerawrightError(error) && error.code === 'no-scale')) {
          throw error;
        }
        tell(0.5, 'looking at the picture');
        const look = await room.look(bytes, fileName);
        this.#asking = { ...order, measurement: null, look };
        this.choosePlate(order.plateId);
      }
    } catch (error) {
      this.#trouble = troubleOf(fileName, error);
    }
  }

  #keep(scan: OpenScan): void {
    this.#open = { ...this.#open, [scan.look.opened.sha256]: scan };
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
      void this.#shelf.put(pass.id, picture);
    }
    workshop.edit(`pass of ${plate.name}`, (draft) => {
      draft.plates.find(({ id }) => id === plateId)?.passes.push(thawed(pass));
    });
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

function pictureFor(measurement: ScanMeasurement, hole: HoleReading): ShelvedPicture | null {
  const picture: ScanPicture | undefined = measurement.previews[measurement.reading.holes.indexOf(hole)];
  const { xMmPerPx, yMmPerPx } = measurement.reading.scale;
  return picture === undefined ? null : { picture, xMmPerPx, yMmPerPx };
}
