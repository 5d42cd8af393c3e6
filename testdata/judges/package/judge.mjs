// Reads the FHIR package of the guide with fhir-package-loader, as tools for packages do,
// and compares what it finds in it with the loose files of the guide.
//
//   node judge.mjs GUIDE COUNTS.tsv
//
// GUIDE is what 'saltmark guide' wrote. Red: a package that is not loaded, a resource that
// is not found by its address, its id or its name, or that differs from its loose file, an
// example that is not there, and an index that names other files than there are.
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { isDeepStrictEqual } from 'node:util';
import loader from 'fhir-package-loader';

const [guide, countsFile] = process.argv.slice(2);
if (!countsFile) {
  console.error('usage: judge.mjs GUIDE COUNTS.tsv');
  process.exit(2);
}
const faults = [];
const fault = (text) => faults.push(text);
const read = (file) => JSON.parse(fs.readFileSync(file, 'utf8'));
const loose = (folder) => fs.readdirSync(path.join(guide, folder)).map((name) => [name, read(path.join(guide, folder, name))]);

const archives = fs.readdirSync(guide).filter((name) => name.endsWith('.tgz'));
if (archives.length !== 1) throw new Error(`${archives.length} packages in ${guide}; one is wanted`);
const [, name, version] = /^(.*)-(\d.*)\.tgz$/.exec(archives[0]);

// Nothing is fetched: the one package is that of the guide.
const nothing = async (what) => { throw new Error(`${what} is asked for, and nothing is fetched`); };
const registry = {
  resolveVersion: async (_, wanted) => wanted,
  download: async (wanted) => (wanted === name ? fs.createReadStream(path.join(guide, archives[0])) : nothing(wanted)),
};
const builds = { downloadCurrentBuild: nothing, getCurrentBuildDate: nothing };
const cache = fs.mkdtempSync(path.join(os.tmpdir(), 'package-judge-'));
process.on('exit', () => fs.rmSync(cache, { recursive: true, force: true }));

const log = (level, message) => { if (level === 'error' || level === 'warn') fault(`the loader says: ${message}`); };
const db = await loader.createSQLJSPackageDB();
const packages = new loader.BasePackageLoader(db, new loader.DiskBasedPackageCache(cache, { log }), registry, builds, { log });
const status = await packages.loadPackage(name, version);
if (status !== loader.LoadStatus.LOADED) {
  fault(`${archives[0]} is ${status}`);
  for (const text of faults) console.log(text);
  process.exit(1);
}

const resources = loose('resources');
for (const [file, resource] of resources) {
  const type = [typeOf(resource)];
  for (const key of [resource.url, resource.id, resource.name]) {
    const found = packages.findResourceJSON(key, { type });
    if (!found) fault(`${file} is not found by ${key}`);
    else if (!isDeepStrictEqual(found, resource)) fault(`${file}, found by ${key}, is not the loose file`);
  }
}
if (packages.findResourceJSON(`${resources[0][1].url}-that-is-not-there`)) fault('an address that is not there is found');

// typeOf gives what the loader calls a resource: definitions go by what they define.
function typeOf(resource) {
  if (resource.resourceType !== 'StructureDefinition') return resource.resourceType;
  return resource.type === 'Extension' ? 'Extension' : 'Profile';
}

const manifest = packages.findPackageJSON(name, version);
for (const [key, want] of Object.entries({ name, version, type: 'fhir.ig', fhirVersions: ['4.0.1'] })) {
  if (!isDeepStrictEqual(manifest[key], want)) fault(`package.json: ${key} is ${JSON.stringify(manifest[key])}, not ${JSON.stringify(want)}`);
}

const stats = db.getPackageStats(name, version);
const counted = resources.length + 1; // the manifest is counted with them
if (stats.resourceCount < resources.length || stats.resourceCount > counted) fault(`the loader counts ${stats.resourceCount} resources, ${resources.length} are there`);

// The folders of the package hold what the index of each says, and the loose files.
const unpacked = path.join(packages.findPackageInfo(name, version).packagePath, 'package');
const examples = loose('examples');
for (const [folder, files] of [['.', resources], ['example', examples]]) {
  const inside = path.join(unpacked, folder);
  const there = fs.readdirSync(inside).filter((file) => file.endsWith('.json') && !file.startsWith('.') && file !== 'package.json').sort();
  const index = read(path.join(inside, '.index.json')).files;
  if (!isDeepStrictEqual(index.map((f) => f.filename).sort(), there)) fault(`${folder}: the index names other files than there are`);
  if (!isDeepStrictEqual(files.map(([file]) => file).sort(), there)) fault(`${folder}: the package has other files than the guide`);
  for (const f of index.filter((f) => there.includes(f.filename))) {
    const resource = read(path.join(inside, f.filename));
    for (const key of ['resourceType', 'id', 'url', 'version', 'kind', 'type', 'supplements']) {
      if (f[key] !== undefined && f[key] !== resource[key]) fault(`${f.filename}: ${key} is ${f[key]} in the index, ${resource[key]} in the resource`);
    }
  }
  for (const [file, resource] of files) {
    if (there.includes(file) && !isDeepStrictEqual(read(path.join(inside, file)), resource)) fault(`${folder}/${file} is not the loose file`);
  }
}

for (const text of faults) console.log(text);
console.log(`fhir-package-loader: ${resources.length} definitions found by address, id and name, ${examples.length} examples there; ${faults.length} faults`);
fs.writeFileSync(countsFile, `definitions\t${resources.length}\nexamples\t${examples.length}\nfaults\t${faults.length}\n`);
process.exit(faults.length === 0 ? 0 : 1);
