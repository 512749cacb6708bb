// Colours every example with the grammar, by the engine that VS Code has, and holds some
// lines to the letter. Usage: node test/grammar.mjs
import assert from 'node:assert/strict';
import fs from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

const require = createRequire(import.meta.url);
const textmate = require('vscode-textmate');
const oniguruma = require('vscode-oniguruma');

const here = path.dirname(fileURLToPath(import.meta.url));
const file = path.join(here, '../syntaxes/pintle.tmLanguage.json');
const wasm = fs.readFileSync(path.join(path.dirname(require.resolve('vscode-oniguruma')), 'onig.wasm'));
await oniguruma.loadWASM(wasm.buffer.slice(wasm.byteOffset, wasm.byteOffset + wasm.byteLength));
const registry = new textmate.Registry({
  onigLib: Promise.resolve({
    createOnigScanner: (patterns) => new oniguruma.OnigScanner(patterns),
    createOnigString: (s) => new oniguruma.OnigString(s),
  }),
  loadGrammar: async () => textmate.parseRawGrammar(fs.readFileSync(file, 'utf8'), file),
});
const grammar = await registry.loadGrammar('source.pintle');

/** The coloured pieces of a line, each with its scope, without the name of the language. */
function colour(line) {
  return grammar.tokenizeLine(line, textmate.INITIAL).tokens
    .filter((t) => t.scopes.length > 1)
    .map((t) => [line.slice(t.startIndex, t.endIndex), t.scopes.at(-1).replace(/\.pintle$/, '')]);
}

const kind = 'keyword.control', name = 'entity.name.function', clause = 'storage.modifier.clause';
const number = 'constant.numeric', unit = 'keyword.other.unit', operator = 'keyword.operator.word';
for (const [line, want] of [
  ['wire W1: battery.stud to F1.in, light green/white, 4 mm2, 0.3 m', [
    ['wire', kind], ['W1', name], ['to', clause], ['light', 'support.constant.colour'], ['green', 'support.constant.colour'],
    ['white', 'support.constant.colour'], ['4', number], ['mm2', unit], ['0.3', number], ['m', unit]]],
  ['    pin 30, 87a, B+', [['pin', kind], ['30, 87a, B+', name]]],
  ['part Relay { # of the trade', [['part', kind], ['Relay', name], ['# of the trade', 'comment.line.number-sign']]],
  ['## A relay: made when open.', [['## A relay: made when open.', 'comment.line.documentation']]],
  ['symptom dark "no light": not lamp is lit', [
    ['symptom', kind], ['dark', name], ['"no light"', 'string.quoted.double'], ['not', operator], ['is', operator]]],
  ['only when cab is open {', [['only', kind], ['when', clause], ['is', operator], ['open', clause]]],
  ['accept pin-unused: on K1.7, because "spare", until 2027-06-30', [
    ['accept', kind], ['pin-unused', name], ['on', clause], ['because', clause], ['"spare"', 'string.quoted.double'],
    ['until', clause], ['2027-06-30', 'constant.numeric.date']]],
  ['coil winding: 86 to 85, 85 ohm +-10 %, pulls in at 8 V', [
    ['coil', kind], ['winding', name], ['86', number], ['to', clause], ['85', number], ['85', number], ['ohm', unit],
    ['+-', 'keyword.operator.tolerance'], ['10', number], ['%', unit],
    ['pulls', clause], ['in', clause], ['at', operator], ['8', number], ['V', unit]]],
  ['fit x: {pin 1}', [['fit', kind], ['x', name], ['pin', kind], ['1', name]]],
]) {
  assert.deepEqual(colour(line), want, line);
}

// In every example each statement's kind is coloured, and no line is without end.
const examples = path.join(here, '../../../examples');
let lines = 0;
for (const f of fs.readdirSync(examples, { recursive: true }).filter((f) => f.endsWith('.pintle'))) {
  for (const line of fs.readFileSync(path.join(examples, f), 'utf8').split('\n')) {
    const declares = /^\s*([a-z]+) [A-Za-z0-9_]+: /.exec(line);
    if (declares) {
      lines++;
      assert.deepEqual(colour(line)[0], [declares[1], kind], `${f}: ${line}`);
    }
  }
}
assert.ok(lines > 500, `only ${lines} lines`);
console.log(`${lines} statements of the examples and the fixed lines are coloured as they should be.`);
