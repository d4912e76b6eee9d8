/** The door of the shell: what a room is built with. */
export { default as Answer } from './Answer.svelte';
export { useBench } from './bench.svelte.ts';
export type { Bench } from './bench.svelte.ts';
export { addCamera } from './cameras.ts';
export { default as ChoiceField } from './fields/ChoiceField.svelte';
export { default as QuantityField } from './fields/QuantityField.svelte';
export { default as TextField } from './fields/TextField.svelte';
export {
  angle,
  boxLength,
  farLength,
  filmLength,
  holeLength,
  plainQuantity,
  signedLength,
  woodLength,
} from './fields/quantities.ts';
export type { Quantity } from './fields/quantities.ts';
export { keepTyped } from './fields/typed.ts';
export { chosenFilm, filmOptions, filmValue } from './film-choice.ts';
export { theCamera } from './words.ts';
