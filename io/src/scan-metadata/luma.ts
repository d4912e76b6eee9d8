/**
 * Luminance of a colour as a whole number: how colour tables become gray.
 * @source bt709 item 3.2
 */
export function luma(red: number, green: number, blue: number): number {
  return Math.round(0.2126 * red + 0.7152 * green + 0.0722 * blue);
}
