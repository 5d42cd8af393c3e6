// Evaluates the invariants of FHIR R4 over bundles and lines with fhirpath.js.
//
//   node judge.mjs INVARIANTS.json UNEVALUATED.tsv COUNTS.tsv FILE-OR-FOLDER...
//
// Each constraint of each element that stands in a resource is evaluated: those of the
// element itself and those of its type. A resource inside a bundle is one of its own.
// Red: an invariant that is not true; one that cannot be evaluated, or is empty (neither
// true nor false), and is not listed so; and a line of the list that is not needed. The
// same resource is evaluated once.
import fs from 'node:fs';
import path from 'node:path';
import fhirpath from 'fhirpath';
import r4 from 'fhirpath/fhir-context/r4/index.js';

const [invariantsFile, listFile, countsFile, ...paths] = process.argv.slice(2);
if (paths.length === 0) {
  console.error('usage: judge.mjs INVARIANTS.json UNEVALUATED.tsv COUNTS.tsv FILE-OR-FOLDER...');
  process.exit(2);
}
const definitions = JSON.parse(fs.readFileSync(invariantsFile, 'utf8'));
const unevaluated = readList(listFile);

// readList reads lines of three cells: the key of an invariant, with the name of the
// element where it is meant there alone; "unevaluated" or "empty" for what it may be; why.
function readList(file) {
  const list = new Map();
  for (const line of fs.readFileSync(file, 'utf8').split('\n')) {
    if (line === '' || line.startsWith('#')) continue;
    const [key, may, why] = line.split('\t');
    if (!why) throw new Error(`${file}: three cells are wanted: ${line}`);
    list.set(key, { may, met: 0 });
  }
  return list;
}

// files gives the JSON and NDJSON files below a path, sorted.
function files(at) {
  if (fs.statSync(at).isFile()) return [at];
  return fs.readdirSync(at).sort().flatMap((name) => files(path.join(at, name)))
    .filter((file) => file.endsWith('.json') || file.endsWith('.ndjson'));
}

// texts gives each resource of a file: the lines of one, and the entries of a bundle.
function* resources(file) {
  const text = fs.readFileSync(file, 'utf8');
  const whole = file.endsWith('.ndjson') ? text.split('\n').filter((line) => line !== '').map((line) => JSON.parse(line)) : [JSON.parse(text)];
  for (const [i, resource] of whole.entries()) {
    const name = whole.length > 1 ? `${path.basename(file)} line ${i + 1}` : path.basename(file);
    yield [name, resource];
    for (const [n, entry] of (resource.entry ?? []).entries()) {
      if (entry.resource) yield [`${name} entry ${n}`, entry.resource];
    }
  }
}

const kept = new Map(); // children of a path, by name

// child finds the element that a member of a path is: its definition, its type, and how
// FHIRPath names it.
function child(at, name) {
  const key = `${at}.${name}`;
  if (!kept.has(key)) kept.set(key, findChild(at, name));
  return kept.get(key);
}

function findChild(at, name) {
  const plain = definitions[`${at}.${name}`];
  if (plain) {
    return { at: `${at}.${name}`, definition: plain, type: plain.types?.[0], step: `\`${name}\`` };
  }
  for (let cut = name.length - 1; cut > 0; cut--) {
    const choice = definitions[`${at}.${name.slice(0, cut)}[x]`];
    const type = choice?.types.find((t) => upper(simple(t)) === name.slice(cut));
    if (type) {
      return { at: `${at}.${name.slice(0, cut)}[x]`, definition: choice, type, step: `\`${name.slice(0, cut)}\`.ofType(${simple(type)})` };
    }
  }
  throw new Error(`no definition of ${at}.${name}`);
}

function upper(text) { return text[0].toUpperCase() + text.slice(1); }

// simple gives the type of which a kind of Quantity is a profile.
function simple(type) { return type.endsWith('Quantity') ? 'Quantity' : type; }

// gather collects the constraints that apply below a node, each with the expression of
// the places where it does.
function gather(node, at, place, into) {
  for (const [member, value] of Object.entries(node)) {
    if (member === 'resourceType') continue;
    const c = child(at, member.replace(/^_/, ''));
    const here = `${place}.${c.step}`;
    if (c.type === 'Resource') continue; // evaluated on its own
    add(here, c.definition.constraints, into);
    add(here, definitions[c.type]?.constraints, into);
    const below = c.definition.like || (c.type === 'BackboneElement' || c.type === 'Element' ? c.at : c.type);
    for (const item of Array.isArray(value) ? value : [value]) {
      if (item !== null && typeof item === 'object') gather(item, below, here, into);
    }
  }
}

function add(place, constraints, into) {
  for (const c of constraints ?? []) {
    if (c.expression) into.set(`${c.key} ${place}`, { ...c, place });
  }
}

const compiled = new Map();
const counts = { resources: 0, distinct: 0, evaluated: 0 };
const keys = new Map(); // invariants met, with how often
const done = new Set();
let failed = 0;

// holds tells whether an expression is true of a resource.
function holds(expression, resource) {
  let run = compiled.get(expression);
  if (!run) {
    run = fhirpath.compile(expression, r4, { traceFn: () => {} });
    compiled.set(expression, run);
  }
  const said = run(resource, { resource, rootResource: resource });
  return said.length === 1 && said[0] === true;
}

function judge(name, resource) {
  counts.resources++;
  const text = JSON.stringify({ ...resource, entry: resource.entry?.map((e) => ({ ...e, resource: e.resource && { resourceType: e.resource.resourceType, id: e.resource.id, meta: e.resource.meta } })) });
  if (done.has(text)) return;
  done.add(text);
  counts.distinct++;
  const type = resource.resourceType;
  const all = new Map();
  add(type, definitions[type].constraints, all);
  gather(resource, type, type, all);
  for (const { key, expression, place, severity } of all.values()) {
    const listed = unevaluated.get(key) ?? unevaluated.get(`${key} ${place.split('.').at(-1).replaceAll('`', '')}`);
    if (listed?.may === 'unevaluated') {
      listed.met++;
      continue;
    }
    counts.evaluated++;
    keys.set(key, (keys.get(key) ?? 0) + 1);
    try {
      if (holds(`${place}.all(${expression})`, resource)) continue;
      if (listed && holds(`${place}.where((${expression}).not()).empty()`, resource)) {
        listed.met++;
        continue;
      }
      tell(`${name}: ${key} (${severity}) does not hold at ${place}: ${expression}`);
    } catch (e) {
      tell(`${name}: ${key} at ${place} cannot be evaluated: ${e.message}`);
    }
  }
}

function tell(why) {
  failed++;
  if (failed <= 50) console.log(why);
}

const began = process.cpuUsage();
for (const at of paths) {
  for (const file of files(at)) {
    for (const [name, resource] of resources(file)) judge(name, resource);
  }
}
for (const [key, { met }] of unevaluated) {
  if (met === 0) tell(`${listFile}: ${key} was not met`);
}
const used = process.cpuUsage(began);
const lines = Object.entries(counts).map(([what, n]) => `${what}\t${n}`);
lines.push(`invariants\t${keys.size}`, ...[...keys].sort().map(([key, n]) => `${key}\t${n}`));
fs.writeFileSync(countsFile, `${lines.join('\n')}\n`);
const told = `${counts.resources} resources, ${counts.distinct} distinct, ${counts.evaluated} evaluations of ${keys.size} invariants, CPU ${((used.user + used.system) / 1e6).toFixed(0)} s`;
fs.writeFileSync(path.join(path.dirname(countsFile), 'times.txt'), `${told}\n`);
console.log(`fhirpath: ${told}`);
console.log(`fhirpath: ${counts.distinct} passed, ${failed} failed`);
process.exit(failed === 0 ? 0 : 1);
