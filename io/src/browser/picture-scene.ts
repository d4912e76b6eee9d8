/** A photograph made small for first looks. */
import type { ScenePhotograph } from '#core';

/** Twice what a preview shows. */
const SMALL_COLUMNS = 720;

function linear(byte: number): number {
  const value = byte / 255;
  return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
}

/** The mean light of whole blocks of pixels, three channels; the angle follows the columns kept. */
export function smallScene(scene: ScenePhotograph): ScenePhotograph {
  const { samples, channels } = scene;
  const shrink = Math.max(1, Math.floor(scene.columns / SMALL_COLUMNS));
  const columns = Math.floor(scene.columns / shrink);
  const rows = Math.max(1, Math.floor(scene.rows / shrink));
  const table = Float32Array.from({ length: 256 }, (_, byte) => linear(byte));
  const encoded = !(samples instanceof Float32Array);
  const light = new Float32Array(columns * rows * 3);
  const deep = Math.min(shrink, scene.rows);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      for (let channel = 0; channel < 3; channel++) {
        let sum = 0;
        for (let j = 0; j < deep; j++) {
          for (let i = 0; i < shrink; i++) {
            const at = ((row * shrink + j) * scene.columns + column * shrink + i) * channels + (channels === 1 ? 0 : channel);
            const sample = samples[at] ?? 0;
            sum += encoded ? (table[sample] ?? 0) : sample;
          }
        }
        light[3 * (row * columns + column) + channel] = sum / (deep * shrink);
      }
    }
  }
  const kept = (columns * shrink) / scene.columns;
  return { columns, rows, channels: 3, samples: light, angleRad: 2 * Math.atan(kept * Math.tan(scene.angleRad / 2)) };
}
