/** The parts of the uncertainty as a maker would name them. */
const WORDS: Readonly<Record<string, string>> = {
  noise: 'noise in the pixels',
  scale: 'the scale of the scan',
  edge: 'where the edge is',
  tone: 'the tone curve',
  blur: 'the blur of the scanner',
  sharpening: 'sharpening by the scanner',
  saturation: 'burnt-out white',
  texture: 'the grain of the metal',
  debris: 'what lies in the hole',
  repeatability: 'one scan against another',
  hand: 'moved by hand',
};

export function budgetWords(name: string): string {
  return WORDS[name] ?? name;
}
