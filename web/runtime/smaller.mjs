// Lay what a first visit waits for beside itself in brotli: node runtime/smaller.mjs PAGE KEPT
// The rest, more bytes than all that, lies there once: nobody waits for it, or few do and on this machine. To others it
// goes out by gzip. Only names that carry a hash, so that what KEPT holds of an earlier build is right for good.

import { copyFile, mkdir, readFile, readdir, rm, stat, writeFile } from "node:fs/promises";
import { basename, join, resolve } from "node:path";
import { promisify } from "node:util";
import { brotliCompress, constants } from "node:zlib";

const [page, kept] = process.argv.slice(2).map((path) => resolve(path));
const LATER = /^(numpy-rest|stdlib-rest|trimesh|pygltflib|dpkt|occt-import-js|step\.worker)-/;
const WORTH = 0.9; // of the plain bytes; as in posekit/serve/smaller.py
// A long search saves 8 % and takes ten times as long: for what every first visit waits for and no change of ours makes anew.
const LONG = /^(pyodide\..*|(numpy|stdlib)-[0-9a-f]+\.zip|three-.*)$/;
const compress = promisify(brotliCompress);

await mkdir(kept, { recursive: true });
const old = new Set(await readdir(kept));
const [first] = JSON.parse(await readFile(join(page, "props/index.json"), "utf8"));
const ofProp = [first.picture, first.folder].map((address) => join(page, address));
const files = [...ofProp];
for (const folder of ["assets", "runtime"]) {
  for (const entry of await readdir(join(page, folder), { recursive: true, withFileTypes: true })) {
    if (entry.isFile() && !LATER.test(entry.name) && !entry.name.endsWith(".br")) files.push(join(entry.parentPath, entry.name));
  }
}
// Pyodide's files carry the hash in the name of their folder.
await Promise.all(files.map((file) => laidBeside(file, `${basename(resolve(file, ".."))}-${basename(file)}`)));
await Promise.all([...old].map((name) => rm(join(kept, name))));

async function laidBeside(file, of) {
  const quality = ofProp.includes(file) || LONG.test(basename(file)) ? 11 : 9;
  const name = `${of}.${quality}.br`;
  const place = join(kept, name);
  if (!old.delete(name)) await writeFile(place, await smaller(await readFile(file), quality));
  const { size } = await stat(place);
  if (size < WORTH * (await stat(file)).size) await copyFile(place, `${file}.br`);
}

function smaller(content, quality) {
  return compress(content, {
    params: {
      [constants.BROTLI_PARAM_QUALITY]: quality,
      [constants.BROTLI_PARAM_LGWIN]: 24,
      [constants.BROTLI_PARAM_SIZE_HINT]: content.length,
    },
  });
}
