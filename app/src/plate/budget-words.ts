/** The parts of the uncertainty as a maker would name them. */
const WORDS: Readonly<Record<string, string>> = {
  noise: 'noise of the pixels',
  scale: 'scale of the scan',
  edge: 'where the edge is',
  tone: 'tone curve',
  blur: 'blur of the scanner',
  saturation: 'burnt-out white',
  texture: 'grain of the metal',
  debris: 'what lies in the hole',
};

export function budgetWords(name: string): string {
  return WORDS[name] ?? name;
}
