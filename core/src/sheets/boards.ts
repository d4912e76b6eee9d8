/** Parts laid on the boards the maker owns, with the saw's cut between them. */
// eslint-disable-next-line @typescript-eslint/triple-slash-reference -- ambient, so that every project that reaches this file sees it
/// <reference path="./maxrects.d.ts" />
import { MaxRectsPacker, PACKING_LOGIC } from 'maxrects-packer/dist/maxrects-packer.mjs';
import type { BoxPart } from './box.ts';
import type { OwnedBoard } from './plan.ts';

export interface LaidPart {
  readonly name: string;
  /** Lower left corner on the board. */
  readonly xMm: number;
  readonly yMm: number;
  /** As it lies: turned parts have changed sides. */
  readonly widthMm: number;
  readonly heightMm: number;
  readonly turned: boolean;
}

export interface LaidBoard {
  readonly board: OwnedBoard;
  readonly index: number;
  readonly parts: readonly LaidPart[];
  /** Of its area. */
  readonly usedShare: number;
}

export interface Nesting {
  readonly boards: readonly LaidBoard[];
  /** Names of the pieces that no board of their thickness holds. */
  readonly left: readonly string[];
}

/** A board is of a part's thickness when the calipers would not tell them apart by more than this. */
const SAME_THICKNESS_MM = 0.6;

/** Boards to buy where none are owned: a usual craft size; common practice, no source. */
export const USUAL_BOARD: Readonly<Record<'lengthMm' | 'widthMm', number>> = { lengthMm: 600, widthMm: 300 };

interface Piece {
  readonly name: string;
  readonly widthMm: number;
  readonly heightMm: number;
}

/**
 * Places every piece on a board of its thickness, the boards in the order given, the best of several packings for each.
 * @param owned empty: usual boards of each thickness are taken, as many as are needed
 * @param sawKerfMm kept between pieces
 */
export function nested(parts: readonly BoxPart[], owned: readonly OwnedBoard[], sawKerfMm: number): Nesting {
  const thicknesses = [...new Set(parts.map(({ thicknessMm }) => thicknessMm))];
  const boards: LaidBoard[] = [];
  const left: string[] = [];
  for (const thicknessMm of thicknesses) {
    let pieces: readonly Piece[] = parts
      .filter((part) => part.thicknessMm === thicknessMm)
      .flatMap(({ name, count, widthMm, heightMm }) => Array.from({ length: count }, (_, i) => ({
        name: count === 1 ? name : `${name} ${i + 1}`, widthMm, heightMm,
      })));
    const own = owned.filter((board) => Math.abs(board.thicknessMm - thicknessMm) <= SAME_THICKNESS_MM);
    const usual: OwnedBoard = { name: `board to buy, ${thicknessMm} mm`, ...USUAL_BOARD, thicknessMm, count: 20 };
    for (const board of owned.length === 0 ? [usual] : own) {
      for (let index = 1; index <= board.count && pieces.length > 0; index += 1) {
        const laid = onBoard(pieces, board, index, sawKerfMm);
        if (laid.parts.length === 0) break;
        boards.push(laid);
        const gone = new Set(laid.parts.map(({ name }) => name));
        pieces = pieces.filter(({ name }) => !gone.has(name));
      }
    }
    left.push(...pieces.map(({ name }) => name));
  }
  return { boards, left };
}

function onBoard(pieces: readonly Piece[], board: OwnedBoard, index: number, sawKerfMm: number): LaidBoard {
  let best: readonly LaidPart[] = [];
  const area = (parts: readonly LaidPart[]): number => parts.reduce((sum, part) => sum + part.widthMm * part.heightMm, 0);
  for (const logic of [PACKING_LOGIC.MAX_AREA, PACKING_LOGIC.MAX_EDGE]) {
    const packer = new MaxRectsPacker(board.lengthMm, board.widthMm, sawKerfMm, {
      smart: false, pot: false, square: false, allowRotation: true, logic,
    });
    const largestFirst = [...pieces].sort((a, b) => Math.max(b.widthMm, b.heightMm) - Math.max(a.widthMm, a.heightMm));
    for (const piece of largestFirst) packer.add(piece.widthMm, piece.heightMm, piece.name);
    for (const bin of packer.bins) {
      // Pieces larger than the board come back in a bin of their own.
      if (bin.width > board.lengthMm + 1e-9 || bin.height > board.widthMm + 1e-9) continue;
      const laid = bin.rects.map((rect): LaidPart => {
        return { name: String(rect.data), xMm: rect.x, yMm: rect.y, widthMm: rect.width, heightMm: rect.height, turned: rect.rot };
      });
      if (laid.every(({ xMm, yMm, widthMm, heightMm }) => xMm + widthMm <= board.lengthMm + 1e-9 && yMm + heightMm <= board.widthMm + 1e-9)
        && area(laid) > area(best)) best = laid;
    }
  }
  return { board, index, parts: best, usedShare: area(best) / (board.lengthMm * board.widthMm) };
}
