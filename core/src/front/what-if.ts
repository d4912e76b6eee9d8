/** What would happen if: the hole glued elsewhere, another board, another opening. A new question, the old one untouched. */
import { InputError, requirePositive } from '../errors.ts';
import type { FilmPoint } from '../camera/geometry.ts';
import type { Layer, Opening } from './layer.ts';
import type { FrontQuestion } from './transmission.ts';

function layerAt(question: FrontQuestion, index: number): Layer {
  const layer = question.layers[index];
  if (layer !== undefined) return layer;
  throw new InputError('out-of-range', `There is no layer ${index + 1}; the stack has ${question.layers.length}.`, {
    path: 'layerIndex',
    got: index,
    expected: `1…${question.layers.length}`,
  });
}

/** The hole moved in the board: film and layers stay where they are, so every layer is off the axis by as much the other way. */
export function withHoleMoved(question: FrontQuestion, by: FilmPoint): FrontQuestion {
  const { xMm, yMm } = question.camera.holeShift;
  return {
    ...question,
    camera: { ...question.camera, holeShift: { xMm: xMm + by.xMm, yMm: yMm + by.yMm } },
    layers: question.layers.map((layer) => ({
      ...layer,
      shift: { xMm: (layer.shift?.xMm ?? 0) - by.xMm, yMm: (layer.shift?.yMm ?? 0) - by.yMm },
    })),
  };
}

/**
 * A layer made of other stuff: its face towards the hole stays, and everything beyond moves out with its outer face. The
 * film stays where it is.
 * @param thicknessMm > 0
 * @throws InputError not-positive, out-of-range
 */
export function withThickness(question: FrontQuestion, index: number, thicknessMm: number): FrontQuestion {
  requirePositive(thicknessMm, 'thicknessMm', 'mm');
  const layer = layerAt(question, index);
  const front = Math.max(layer.nearMm, layer.farMm) > 0;
  const outer = front ? Math.max(layer.nearMm, layer.farMm) : Math.min(layer.nearMm, layer.farMm);
  const more = (thicknessMm - Math.abs(layer.farMm - layer.nearMm)) * (front ? 1 : -1);
  const beyond = (zMm: number): boolean => (front ? zMm >= outer - 1e-9 : zMm <= outer + 1e-9);
  const move = (zMm: number): number => (beyond(zMm) ? zMm + more : zMm);
  return {
    ...question,
    layers: question.layers.map((other, i) => {
      if (i === index) return { ...other, nearMm: move(other.nearMm), farMm: move(other.farMm) };
      // a layer moves as a whole, when all of it lies beyond
      const whole = beyond(other.nearMm) && beyond(other.farMm);
      return whole ? { ...other, nearMm: other.nearMm + more, farMm: other.farMm + more } : other;
    }),
  };
}

/** A layer with another opening. */
export function withOpening(question: FrontQuestion, index: number, opening: Opening): FrontQuestion {
  layerAt(question, index);
  return { ...question, layers: question.layers.map((layer, i) => (i === index ? { ...layer, opening } : layer)) };
}
