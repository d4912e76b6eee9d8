/** The door of the drawing kit: what a room needs to draw a part to scale. */
export { default as Dimension } from './Dimension.svelte';
export { default as Handle } from './Handle.svelte';
export { default as Hatching } from './Hatching.svelte';
export { default as ScaleBar } from './ScaleBar.svelte';
export { closedPath, restingScale, toPx } from './frame.ts';
export type { DrawingScale, PointPx } from './frame.ts';
