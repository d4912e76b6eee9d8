/** The rooms that work today, in the order of the job. A room joins this list when it is built. */
import type { Component } from 'svelte';
import type { Room } from './router.svelte.ts';

export const rooms: readonly Room[] = [
  { path: 'camera', word: 'Camera' },
  { path: 'front', word: 'Front' },
  { path: 'plate', word: 'Plate' },
  { path: 'picture', word: 'Picture' },
  { path: 'exposure', word: 'Exposure' },
  { path: 'sheets', word: 'Sheets' },
  { path: 'log', word: 'Log' },
];

/** Each room is its own chunk, loaded when it is entered. */
export const roomLoaders: Readonly<Record<string, () => Promise<{ readonly default: Component }>>> = {
  camera: () => import('../camera/CameraRoom.svelte'),
  front: () => import('../front/FrontRoom.svelte'),
  plate: () => import('../plate/PlateRoom.svelte'),
  picture: () => import('../picture/PictureRoom.svelte'),
  exposure: () => import('../exposure/ExposurePage.svelte'),
  sheets: () => import('../sheets/SheetsRoom.svelte'),
  log: () => import('../log/LogRoom.svelte'),
};
