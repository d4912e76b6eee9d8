/**
 * Every number that crosses a public door of the core says its unit in its name: what `index.ts` and the
 * doors beside it hand out. Rejects function parameters and interface fields of type `number` (or number arrays) without a known
 * suffix. Inside a room a formula may use the book's symbols.
 */
import { readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import ts from 'typescript';
import { root } from './ensure.mjs';

const SUFFIX =
  /(Mm|Mm2|MmPerPx|Nm|S|S2|Rad|PerMm|Px|Px2|Ev|Stops|Lux|Iso|Steps|Um|In|CdPerM2|Share|Kelvin|Hz|FNumbers?|Factor)$/;

/** Numbers without a dimension, by the name the field or the trade gives them. May only grow with a reason. */
const DIMENSIONLESS = new Map(
  Object.entries({
    fNumber: 'a ratio',
    fNumberStandardUncertainty: 'of a ratio',
    stops: 'the unit is the name',
    min: 'of any quantity: its unit is a further field',
    max: 'of any quantity: its unit is a further field',
    iso: 'film speed, arithmetic',
    exposureIndex: 'film speed as used',
    gamma: 'exponent of a tone curve',
    fullScale: 'sample value of full white',
    channels: 'a count',
    bitsPerSample: 'a count',
    constant: 'c in d = c√(λf′)',
    contrast: 'MTF, 0…1',
    density: 'optical density, a logarithm',
    targetDensity: 'optical density',
    values: 'of a scan, any scale',
    baseDensity: 'optical density',
    densityStandardUncertainty: 'of an optical density',
    c: 'd / √(λf′), the hole without a unit',
    q: 'ν m √(λf′), the frequency without a unit',
    highestQ: 'a q',
    filterFactor: 'a ratio',
    factor: 'a ratio',
    relativeUncertainty: 'a share',
    coverageFactor: 'k',
    digits: 'a count',
    denominator: 'of a fraction',
    column: 'a place in a grid',
    first: 'a place in a list',
    second: 'a place in a list',
    trials: 'a count',
    columns: 'a count',
    debrisDrawn: 'a count',
    debrisLeftOut: 'a count',
    divisions: 'a count',
    layerIndex: 'a place in a list',
    relativeDeviation: 'a share',
    scans: 'a count',
    straysDrawn: 'a count',
    row: 'a place in a grid',
    rows: 'a count',
    width: 'a count',
    height: 'a count',
    shrink: 'a whole factor',
    contrastToNoise: 'a ratio',
    exponent: 'a pure number',
    order: 'a pure number',
    count: 'a count',
    year: 'of the calendar',
    hour: 'of the clock',
    index: 'a place in a list',
    version: 'a count',
    seed: 'of a generator',
    value: 'any quantity: its unit is a further argument',
    standardUncertainty: 'of any quantity, in the unit of its value',
    significant: 'a count of digits',
    mm: 'the unit is the whole name',
    angleDeg: 'the edge where degrees become radians',
  }),
);

/** Folders of pure mathematics, where symbols stand for numbers of any unit. */
const MATHEMATICS = /core\/src\/(numeric|geometry)\//;

const problems = [];

function isNumber(type) {
  if (!type) return false;
  if (type.kind === ts.SyntaxKind.NumberKeyword) return true;
  if (ts.isArrayTypeNode(type)) return isNumber(type.elementType);
  if (ts.isTypeOperatorNode(type)) return isNumber(type.type);
  if (ts.isUnionTypeNode(type)) return type.types.some(isNumber);
  return false;
}

function check(file, name, type, node, source) {
  if (!name || !isNumber(type) || SUFFIX.test(name) || DIMENSIONLESS.has(name)) return;
  const { line } = source.getLineAndCharacterOfPosition(node.getStart());
  problems.push(`${relative(root, file)}:${line + 1}  ${name}: a number without its unit in the name`);
}

function exported(node) {
  return ts.canHaveModifiers(node) && ts.getModifiers(node)?.some((m) => m.kind === ts.SyntaxKind.ExportKeyword);
}

function members(file, list, source) {
  for (const member of list) {
    if (ts.isPropertySignature(member)) {
      check(file, member.name.getText(source), member.type, member, source);
      if (member.type && ts.isTypeLiteralNode(member.type)) members(file, member.type.members, source);
    }
  }
}

function parameters(file, list, source) {
  for (const parameter of list) {
    if (ts.isIdentifier(parameter.name)) check(file, parameter.name.text, parameter.type, parameter, source);
    if (parameter.type && ts.isTypeLiteralNode(parameter.type)) members(file, parameter.type.members, source);
  }
}

/** Names handed out by the doors of the core, by the file they come from. */
function publicNames() {
  const names = new Map();
  for (const door of ['index', 'schema', 'sun', 'compass', 'calendar', 'sheets', 'pdf'].map((name) => `core/src/${name}.ts`)) {
    const file = join(root, door);
    const source = ts.createSourceFile(file, readFileSync(file, 'utf8'), ts.ScriptTarget.ES2022, true);
    for (const node of source.statements) {
      if (!ts.isExportDeclaration(node) || !node.moduleSpecifier || !node.exportClause) continue;
      const from = join(dirname(file), node.moduleSpecifier.text);
      const known = names.get(from) ?? new Set();
      for (const element of node.exportClause.elements) known.add((element.propertyName ?? element.name).text);
      names.set(from, known);
    }
  }
  return names;
}

function declaredNames(node) {
  if (ts.isVariableStatement(node)) return node.declarationList.declarations.map((one) => one.name.getText());
  return node.name ? [node.name.text] : [];
}

function visit(file, names) {
  const source = ts.createSourceFile(file, readFileSync(file, 'utf8'), ts.ScriptTarget.ES2022, true);
  for (const node of source.statements) {
    if (!exported(node) || !declaredNames(node).some((name) => names.has(name))) continue;
    if (ts.isInterfaceDeclaration(node)) members(file, node.members, source);
    if (ts.isTypeAliasDeclaration(node) && ts.isTypeLiteralNode(node.type)) members(file, node.type.members, source);
    if (ts.isFunctionDeclaration(node)) parameters(file, node.parameters, source);
    if (ts.isVariableStatement(node)) {
      for (const { initializer } of node.declarationList.declarations) {
        if (initializer && ts.isArrowFunction(initializer)) parameters(file, initializer.parameters, source);
      }
    }
  }
}

const doors = [...publicNames()].filter(([file]) => !MATHEMATICS.test(file.replaceAll('\\', '/')));
for (const [file, names] of doors) visit(file, names);
if (problems.length > 0) {
  console.error(problems.join('\n'));
  console.error(`\n${problems.length} numbers without a unit. Add the suffix, or (for a pure number) its reason in tools/check-units.mjs.`);
  process.exit(1);
}
console.log(`units: ${doors.length} files, every public number says its unit`);
