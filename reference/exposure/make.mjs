// Writes computed.json: figures that follow from a published relation by plain arithmetic, without the core.
// Run: node reference/exposure/make.mjs
import { writeFileSync } from 'node:fs';

const SQRT2 = Math.sqrt(2);
const evTable = [];
for (let ev = -6; ev <= 17; ev++) {
  // N²/t = 2^EV; L = K·2^EV/S; E = C·2^EV/S with K = 12.5, C = 250, S = 100
  evTable.push({
    ev,
    f16S: 256 / 2 ** ev,
    f128S: 16384 / 2 ** ev,
    f181S: (128 * SQRT2) ** 2 / 2 ** ev,
    luminanceCdPerM2: (12.5 * 2 ** ev) / 100,
    illuminanceLux: (250 * 2 ** ev) / 100,
  });
}

const worked = [
  { what: 'sunny 16, ISO 100: 1/100 s at f/16 carried to f/256', timeS: 0.01 * (256 / 16) ** 2 },
  { what: 'the same to f/150', timeS: 0.01 * (150 / 16) ** 2 },
  { what: 'EV 15, ISO 100 at f/200', timeS: 200 ** 2 / 2 ** 15 },
  { what: 'EV 12, ISO 400 at f/250', timeS: (250 ** 2 / 2 ** 12) * (100 / 400) },
  { what: 'the previous on HP5 Plus, t^1.31', timeS: ((250 ** 2 / 2 ** 12) * (100 / 400)) ** 1.31 },
  { what: 'EV 15, ISO 100 at f/180 with a filter of factor 8', timeS: (180 ** 2 / 2 ** 15) * 8 },
  { what: '1 s at the mark f/22 (22.627) carried to f/300', timeS: (300 / 2 ** 4.5) ** 2 },
];

const laws = [
  { what: 'Ilford: t^1.31 at 10 s', timeS: 10 ** 1.31 },
  { what: 'Gainer on Tri-X: t + 0.169·t^1.62 at 10 s', timeS: 10 + 0.169 * 10 ** 1.62 },
  { what: 'Gainer on T-MAX 100: t + 0.069·t^1.62 at 100 s', timeS: 100 + 0.069 * 100 ** 1.62 },
  { what: 'Covington on Delta 100: (t + 1)^(1/0.85) − 1 at 60 s', timeS: 61 ** (1 / 0.85) - 1 },
];

const data = {
  about: {
    set: 'light, stops and exposure: figures that follow by arithmetic',
    source: 'ISO 2720 relations with K = 12.5, C = 250; laws of reciprocity.json',
    conditions: 'ISO 100 unless said; times before reciprocity unless said',
    units: 's, cd/m², lx',
    recipe: 'node reference/exposure/make.mjs',
  },
  evTable,
  worked,
  laws,
};
writeFileSync(new URL('computed.json', import.meta.url), `${JSON.stringify(data, null, 1)}\n`);
