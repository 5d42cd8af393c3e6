// Compares what saltmark says of UCUM codes with what ucum-lhc says.
//
//   node judge.mjs SAID.tsv DISAGREEMENTS.tsv COUNTS.tsv
//
// SAID comes from gen. Of each code: whether it is one; of a valid one its dimension, and
// of an ordinary unit its size in base units, to nine digits. Red: a disagreement that is
// not listed with who is right and why, and a line of the list that is not met.
import fs from 'node:fs';
import lhc from '@lhncbc/ucum-lhc';

const [saidFile, listFile, countsFile] = process.argv.slice(2);
if (!countsFile) {
  console.error('usage: judge.mjs SAID.tsv DISAGREEMENTS.tsv COUNTS.tsv');
  process.exit(2);
}
console.error = console.log = () => {}; // the library tells of each bad code by itself
const say = (text) => process.stdout.write(`${text}\n`);
const utils = lhc.UcumLhcUtils.getInstance();

function table(file, cells) {
  return fs.readFileSync(file, 'utf8').split('\n').filter((line) => line !== '' && !line.startsWith('# ')).map((line) => {
    const row = line.split('\t');
    if (row.length !== cells) throw new Error(`${file}: ${cells} cells are wanted: ${line}`);
    return row;
  });
}

const listed = table(listFile, 4).map(([what, code]) => ({ what, code, met: 0 }));

// find gives the line of the list that excuses what differs of a code.
function find([what, , ratio], code) {
  return listed.find((l) => (l.what === what && l.code === code) || (l.what === 'ratio' && what === 'size' && same(l.code, ratio)));
}

// same tells whether a ratio is that of a line, either way round.
function same(written, ratio) {
  const [a, b] = written.split('/').map(Number);
  return close(ratio, a / b) || close(ratio, b / a);
}

function close(a, b) { return Math.abs(a / b - 1) < 1e-9; }

const letters = 'LTMACQF';

// dimensionOf gives a vector of exponents as saltmark writes it.
function dimensionOf(unit) {
  const vector = unit.dim_?.dimVec_;
  if (!vector) return '1';
  const parts = vector.map((n, i) => (n === 0 ? '' : letters[i] + (n === 1 ? '' : n))).filter((p) => p !== '');
  return parts.length === 0 ? '1' : parts.join('.');
}

// Of one code: what differs and how; null for nothing.
function compare([, code, valid, kind, dimension, factor]) {
  const answer = utils.validateUnitString(code, false);
  const theirs = answer.status === 'valid' && answer.ucumCode === code;
  if (theirs !== (valid === 'yes')) return ['valid', `saltmark says ${valid}, ucum-lhc ${theirs ? 'yes' : `no (${answer.status} ${answer.ucumCode ?? ''})`}`];
  if (!theirs) return null;
  const unit = utils.getSpecifiedUnit(code, 'validate').unit;
  const theirDimension = dimensionOf(unit);
  if (theirDimension !== dimension.replace(/^arbitrary\.?/, '') && !(dimension === 'arbitrary' && theirDimension === '1')) {
    return ['dimension', `saltmark says ${dimension}, ucum-lhc ${theirDimension}`];
  }
  if (kind !== 'ordinary') return null;
  const ratio = unit.magnitude_ / Number(factor);
  if (!close(ratio, 1)) return ['size', `saltmark says ${factor}, ucum-lhc ${unit.magnitude_}`, ratio];
  return null;
}

const counts = { codes: 0, valid: 0, invalid: 0, sizes: 0, listed: 0 };
const bySource = {};
let failed = 0;
const rows = table(saidFile, 7).slice(1);
for (const row of rows) {
  const [from, code, valid, kind] = row;
  counts.codes++;
  bySource[from] = (bySource[from] ?? 0) + 1;
  counts[valid === 'yes' ? 'valid' : 'invalid']++;
  if (kind === 'ordinary') counts.sizes++;
  const differs = compare(row);
  if (!differs) continue;
  const line = find(differs, code);
  if (line) {
    line.met++;
    counts.listed++;
    continue;
  }
  failed++;
  say(`${from} ${JSON.stringify(code)}: ${differs[0]}: ${differs[1]}`);
}
for (const l of listed.filter((line) => line.met === 0)) {
  failed++;
  say(`${listFile}: excuses nothing: ${l.what} ${l.code}`);
}
const lines = [...Object.entries(counts), ...Object.entries(bySource).map(([s, n]) => [`from ${s}`, n])];
fs.writeFileSync(countsFile, lines.map(([what, n]) => `${what}\t${n}\n`).join(''));
say(`ucum: ${counts.codes - failed - counts.listed} passed, ${failed} failed`);
process.exit(failed === 0 ? 0 : 1);
