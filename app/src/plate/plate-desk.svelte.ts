/**
 * What lies on the plate bench: the scans opened since the page was loaded, the one being read, the plate and the pass
 * that are looked at. Readings become passes of the workshop at once, so a reload loses nothing; the file's bytes
 * stay only as long as the page, because they can be opened again.
 */
import type {
  HandEdit, HoleReading, PassRecord, PlateRecord, RuleScan, ScannerRecord, VerdictRecord, WorkshopDraft,
} from '#core';
import {
  STRAY_SHARE, calibrationFromRule, combinedPasses, editedByHand, isCamerawrightError, passFromReading, sameStatePasses, thawed,
} from '#core';
import { notKeptSentence } from '#io/browser';
import type { HolePicture, ScanShelf } from '#io/browser';
import type { PlateRoom } from '#io/ports';
import type { Bench } from '../shell/index.ts';
import { rememberMeasured, unmeasuredDemo } from './demo.ts';
import {
  NOTHING_GIVEN, dpiOf, edgeOf, givenOf, holeNear, holeOf, pictureFor, placePx, requestOf, scaleBy,
} from './open-scan.ts';
import type { AskingScan, Given, OpenScan, Order } from './open-scan.ts';
import { nextPlateName, passLines } from './passes.ts';
import type { PassLine } from './passes.ts';
import { verdictRecord } from './verdict.ts';

export interface Job {
  readonly fileName: string;
  readonly share: number;
  readonly word: string;
  /** How many scans wait behind this one. */
  readonly waiting: number;
}

/** How the picture lies to the plate. */
export type Pose = Pick<Given, 'scannedFace' | 'mirrored' | 'markAngleRad'>;

export interface Trouble {
  readonly fileName: string;
  readonly sentence: string;
}

const chosenKey = 'camerawright.plate';

/** Readings of so many scans stay at hand; older scans are read again when something is changed. */
const READINGS_KEPT = 8;

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
  #troubles = $state.raw<readonly Trouble[]>([]);
  /** By SHA-256 of the file. */
  #open = $state.raw<Readonly<Record<string, OpenScan>>>({});
  /** At most one for each plate. */
  #asking = $state.raw<readonly AskingScan[]>([]);
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

  /** Files that could not be used, since files were taken last. */
  get troubles(): readonly Trouble[] {
    return this.#troubles;
  }

  /** The scan of the plate looked at that needs a scale before it can be read. */
  get asking(): AskingScan | null {
    return this.askingFor(this.plate?.id);
  }

  askingFor(plateId: string | undefined): AskingScan | null {
    return this.#asking.find((scan) => scan.plateId === plateId) ?? null;
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
    const sha256 = pass?.scan?.sha256;
    return sha256 === undefined ? null : (this.#open[sha256] ?? null);
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
        const { sha256, fileName } = scan;
        this.#keep({ sha256, bytes, fileName, plateId, given: givenOf(pass), measurement: null, look: null });
      }
    }
  }

  /**
   * What to assume of a new scan of a plate: the same face and light as last time. Nothing is taken over from other
   * plates: light assumed wrongly would make the ± too small without a word.
   */
  givenFor(plate: PlateRecord | null): Given {
    const last = plate?.passes.at(-1);
    return last === undefined ? NOTHING_GIVEN : { ...givenOf(last), ...scaleBy({}), tone: null, middle: null };
  }

  /** The resolution that was typed in last, in pixels per inch, to be offered again. */
  get lastTypedDpi(): { readonly x: number; readonly y: number } | null {
    const typed = this.plates.flatMap(({ passes }) => passes).findLast(({ scale }) => scale?.source === 'given');
    return typed?.scale === undefined ? null : dpiOf(typed.scale);
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
  take(files: readonly File[]): void {
    this.#troubles = [];
    if (files.length > 1) {
      const made = files.map((file) => ({
        file, plateId: this.addPlate(file.name.replace(/\.[a-z0-9]+$/i, '')),
      }));
      this.choosePlate(made[0]?.plateId ?? '');
      for (const { file, plateId } of made) {
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
      const scans = await unmeasuredDemo(this.#bench.workshop.document, document.baseURI);
      for (const { plateId, url, fileName, given } of scans) {
        const answer = await fetch(url);
        if (answer.ok) {
          this.order({ bytes: await answer.blob(), fileName, plateId, given, unasked: true });
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
  turn(scan: OpenScan, change: Partial<Pose>, pass: PassRecord): void {
    const hole = scan.measurement === null ? null : holeOf(pass, scan.measurement.reading);
    if (hole === null) {
      this.readAgain(scan, change, pass);
      return;
    }
    const turned = { ...scan, given: { ...scan.given, ...change } };
    this.#keep(turned);
    this.record(turned, hole);
  }

  /** Stops everything that is being read or waits; what is recorded stays. */
  cancel(): void {
    this.#orders = [];
    this.#room?.cancel();
  }

  /** Asks for the scale of a scan that has one already: two ends in the picture may tell it better. */
  askScale(scan: OpenScan): void {
    if (scan.look !== null) {
      this.dropQuestion(scan.plateId);
      this.#asking = [...this.#asking, { ...scan, look: scan.look }];
    }
  }

  /** Puts aside the question for a scale. */
  dropQuestion(plateId: string): void {
    this.#asking = this.#asking.filter((scan) => scan.plateId !== plateId);
  }

  dismissTroubles(): void {
    this.#troubles = [];
  }

  /** The other holes of a scan of about the same size become plates of their own, in the order of the scan. */
  enterEach(scan: OpenScan, pass: PassRecord): void {
    const reading = scan.measurement?.reading;
    const chosen = reading === undefined ? null : holeOf(pass, reading);
    const plateId = this.plate?.id;
    for (const hole of chosen === null ? [] : (reading?.holes ?? [])) {
      if (hole !== chosen && hole.outlineDiameterMm >= STRAY_SHARE * (chosen?.outlineDiameterMm ?? 0)) {
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
    const { bytes, fileName, given, plateId } = order;
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
        const measurement = await room.measure(bytes, fileName, requestOf(given, this.#bench.workshop.document.scanners), tell);
        const { sha256 } = measurement.opened;
        const scan: OpenScan = { sha256, bytes, fileName, plateId, given, measurement, look: measurement };
        this.#keep(scan);
        void this.#keepScan(sha256, bytes, fileName);
        this.dropQuestion(plateId);
        const hole = holeNear(measurement.reading, order.near);
        if (hole !== undefined) {
          this.record(scan, hole, plateId, order.unasked === true);
        }
      } catch (error) {
        if (!(isCamerawrightError(error) && error.code === 'no-scale')) {
          throw error;
        }
        tell(0.5, 'looking at the picture');
        const look = await room.look(bytes, fileName);
        const { sha256 } = look.opened;
        const first = this.#asking.length === 0;
        this.dropQuestion(plateId);
        this.#asking = [...this.#asking, { sha256, bytes, fileName, plateId, given, measurement: null, look }];
        if (first) {
          this.choosePlate(plateId);
        }
      }
    } catch (error) {
      const trouble = troubleOf(fileName, error);
      if (trouble !== null) {
        this.#troubles = [...this.#troubles, trouble];
      }
    }
  }

  #passOf(scan: OpenScan, hole: HoleReading, verdict: VerdictRecord | null, id: string): PassRecord | null {
    const { measurement, given } = scan;
    if (measurement === null) {
      return null;
    }
    const { reading, opened } = measurement;
    // A hole changed by hand stands in the place of the one that was measured.
    const whole = reading.holes.includes(hole) ? reading : { ...reading, holes: [hole] };
    const edge = edgeOf(given.edgeMm);
    return passFromReading({
      id,
      at: this.#bench.clock.now(),
      timeZone: this.#bench.clock.zone(),
      reading: whole,
      hole,
      scan: {
        sha256: opened.sha256,
        fileName: opened.fileName,
        scannedFace: given.scannedFace,
        mirrored: given.mirrored,
        ...(given.markAngleRad !== null && { markAngleRad: given.markAngleRad }),
      },
      ...(edge !== null && { edge }),
      ...(verdict !== null && { verdict }),
    });
  }

  /** The hole of a pass as the program measured it, when its scan was read since the page was loaded. */
  measuredHole(pass: PassRecord | null): HoleReading | null {
    const reading = this.scanOf(pass)?.measurement?.reading;
    return pass === null || reading === undefined ? null : holeOf(pass, reading);
  }

  /**
   * The pass as it would be with these changes by hand; `null` while its scan must be read first.
   * @throws InputError when the rim would pass through its middle
   */
  previewByHand(pass: PassRecord, edits: readonly HandEdit[]): PassRecord | null {
    const scan = this.scanOf(pass);
    const hole = this.measuredHole(pass);
    return scan === null || hole === null ? null : this.#passOf(scan, editedByHand(hole, edits), null, pass.id);
  }

  /** Enters the changes by hand as a pass of the plate. */
  keepByHand(pass: PassRecord, edits: readonly HandEdit[]): void {
    const scan = this.scanOf(pass);
    const hole = this.measuredHole(pass);
    if (scan !== null && hole !== null) {
      this.record(scan, editedByHand(hole, edits));
    }
  }

  /** The pass before this one that shows another scan: the one whose state this one may show again. */
  passBefore(pass: PassRecord): PassRecord | null {
    const passes = this.plate?.passes ?? [];
    const at = passes.findIndex(({ id }) => id === pass.id);
    return passes.slice(0, Math.max(0, at)).findLast(({ scan, figures }) => figures !== undefined && scan?.sha256 !== pass.scan?.sha256) ?? null;
  }

  /** Says whether anything was done to the plate between a pass and the one before; the mean over one state follows. */
  markSameState(pass: PassRecord, before: PassRecord | null): void {
    const plateId = this.plate?.id;
    this.#bench.workshop.edit('state of the plate', (draft) => {
      const passes = draft.plates.find(({ id }) => id === plateId)?.passes;
      const own = passes?.find(({ id }) => id === pass.id);
      if (passes === undefined || own === undefined) {
        return;
      }
      if (before === null) {
        delete own.sameStateAs;
        delete own.combined;
        return;
      }
      own.sameStateAs = before.sameStateAs ?? before.id;
      // Of one scan read several times the last reading counts.
      const state = sameStatePasses(passes as readonly PassRecord[], own as PassRecord);
      const last = state.filter(({ scan }, i) => state.findLastIndex((other) => other.scan?.sha256 === scan?.sha256) === i);
      const combined = combinedPasses(last);
      if (combined !== null) {
        own.combined = thawed(combined);
      }
    });
  }

  get scanners(): readonly ScannerRecord[] {
    return this.#bench.workshop.document.scanners;
  }

  /** Finds the scale of a scanner from scans of a steel rule and keeps it; the answer is a sentence. */
  async calibrate(name: string, files: readonly File[], divisionMm?: number): Promise<string> {
    this.#room ??= this.#openRoom();
    const { clock, newId, workshop } = this.#bench;
    try {
      const scans: RuleScan[] = [];
      for (const file of files) {
        const { marks, opened } = await this.#room.rule(file, file.name);
        scans.push({ marks, stated: opened.scale });
      }
      const calibration = calibrationFromRule(scans, {
        id: newId(), at: clock.now(), timeZone: clock.zone(), ...(divisionMm !== undefined && { divisionMm }),
      });
      workshop.edit('calibrate the scanner', (draft) => {
        const known = draft.scanners.find((scanner) => scanner.name.trim().toLowerCase() === name.trim().toLowerCase());
        if (known) {
          known.calibrations.push(thawed(calibration));
        } else {
          draft.scanners.push({ id: newId(), name, calibrations: [thawed(calibration)] });
        }
      });
      const { x, y } = dpiOf(calibration);
      return `${name}: ${x.toFixed(1)} px per inch across and ${y.toFixed(1)} down, good to ${(100 * (calibration.relativeUncertainty ?? 0)).toFixed(2)} %.`;
    } catch (error) {
      if (isCamerawrightError(error)) {
        return error.message;
      }
      throw error;
    }
  }

  #keep(scan: OpenScan): void {
    const others = Object.values(this.#open).filter(({ sha256 }) => sha256 !== scan.sha256);
    const old = others.slice(0, Math.max(0, others.length - READINGS_KEPT + 1));
    const kept = [...others.map((other) => (old.includes(other) ? { ...other, measurement: null } : other)), scan];
    this.#open = Object.fromEntries(kept.map((each) => [each.sha256, each]));
  }

  /**
   * Enters a reading as a pass of the scan's plate.
   * @param unasked the maker did not ask for it, so it must not come between them and what undo takes back
   */
  /** Where there is no room the maker hears it; of a scan beyond the usual size, or without storage, nothing is new. */
  async #keepScan(sha256: string, bytes: Blob, fileName: string): Promise<void> {
    const keeping = await this.#shelf.keepScan(sha256, bytes);
    const sentence = keeping === 'full' ? notKeptSentence(fileName, keeping) : null;
    if (sentence !== null) {
      this.#bench.notices.show(sentence);
    }
  }

  record(scan: OpenScan, hole: HoleReading, plateId = scan.plateId, unasked = false): void {
    const { measurement } = scan;
    const plate = this.plates.find(({ id }) => id === plateId);
    if (measurement === null || plate === undefined) {
      return;
    }
    const { newId, workshop } = this.#bench;
    const { camera } = workshop;
    const verdict = camera === null ? null : verdictRecord(hole, camera, workshop.light);
    const pass = this.#passOf(scan, hole, verdict, newId());
    if (pass === null) {
      return;
    }
    const picture = pictureFor(measurement, hole);
    if (picture !== null) {
      this.#shelved = { ...this.#shelved, [pass.id]: picture };
      void this.#shelf.keepPicture(pass.id, picture);
    }
    const append = (draft: WorkshopDraft): void => {
      draft.plates.find(({ id }) => id === plateId)?.passes.push(thawed(pass));
    };
    if (unasked) {
      workshop.enter(append);
    } else {
      workshop.edit(`pass of ${plate.name}`, append);
    }
    rememberMeasured(plateId);
    if (this.plate?.id === plateId) {
      this.#passId = null;
    }
  }
}

function troubleOf(fileName: string, error: unknown): Trouble | null {
  if (isCamerawrightError(error)) {
    return error.code === 'cancelled' ? null : { fileName, sentence: error.message };
  }
  const said = error instanceof Error ? error.message : String(error);
  const sentence = `The scan could not be read (${said}). Save it again as TIFF or PNG and open it once more.`;
  return { fileName, sentence };
}
