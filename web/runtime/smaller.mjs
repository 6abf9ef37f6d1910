// Lay the files of a built page beside themselves in brotli: node runtime/smaller.mjs PAGE KEPT
// Only names that carry a hash, so that what KEPT holds of an earlier build is right for good.

import { copyFile, mkdir, readFile, readdir, rm, stat, writeFile } from "node:fs/promises";
import { basename, join, resolve } from "node:path";
import { promisify } from "node:util";
import { brotliCompress, constants } from "node:zlib";

const [page, kept] = process.argv.slice(2).map((path) => resolve(path));
const HASHED = ["assets", "runtime", "props"];
const NO_HASH = new Set(["index.json"]);
const WORTH = 0.9; // of the plain bytes; as in posekit/serve/smaller.py
// A long search saves 8 % and takes ten times as long: for what every first visit waits for and no change of ours makes anew.
const LONG = /^(pyodide\..*|(numpy|stdlib)-[0-9a-f]+\.zip|three-.*)$/;
const compress = promisify(brotliCompress);

await mkdir(kept, { recursive: true });
const old = new Set(await readdir(kept));
const files = [];
for (const folder of HASHED) {
  for (const entry of await readdir(join(page, folder), { recursive: true, withFileTypes: true })) {
    if (entry.isFile() && !NO_HASH.has(entry.name) && !entry.name.endsWith(".br")) files.push(join(entry.parentPath, entry.name));
  }
}
// Pyodide's files carry the hash in the name of their folder.
await Promise.all(files.map((file) => laidBeside(file, `${basename(resolve(file, ".."))}-${basename(file)}.br`)));
await Promise.all([...old].map((name) => rm(join(kept, name))));

async function laidBeside(file, name) {
  const place = join(kept, name);
  if (!old.delete(name)) await writeFile(place, await smaller(await readFile(file), basename(file)));
  const { size } = await stat(place);
  if (size < WORTH * (await stat(file)).size) await copyFile(place, `${file}.br`);
}

function smaller(content, name) {
  return compress(content, {
    params: {
      [constants.BROTLI_PARAM_QUALITY]: LONG.test(name) ? 11 : 9,
      [constants.BROTLI_PARAM_LGWIN]: 24,
      [constants.BROTLI_PARAM_SIZE_HINT]: content.length,
    },
  });
}
