// List the files of a built page for its service worker: node runtime/offline.mjs PAGE

import { createHash } from "node:crypto";
import { readFile, readdir, writeFile } from "node:fs/promises";
import { join, relative, resolve, sep } from "node:path";

const page = resolve(process.argv[2]);
// What few visits need, and a first one should not fetch: the service worker keeps it from when it is used.
const LATER = /^assets\/occt-import-js-/;
// The same files in fewer bytes, which nobody asks for by these names.
const SMALLER = /\.(br|gz)$/;
const LEFT_OUT = new Set(["offline.json", "service-worker.js", "made-from.txt"]);

const version = createHash("sha256");
const files = [];
for (const entry of (await readdir(page, { recursive: true, withFileTypes: true }))) {
  const file = relative(page, join(entry.parentPath, entry.name)).split(sep).join("/");
  if (entry.isFile() && !LEFT_OUT.has(file) && !LATER.test(file) && !SMALLER.test(file)) files.push(file);
}
for (const file of files.sort()) version.update(file).update(await readFile(join(page, file)));
// The address of the page itself is that of its folder.
const addresses = files.map((file) => (file === "index.html" ? "./" : file));
await writeFile(join(page, "offline.json"), JSON.stringify({ version: version.digest("hex").slice(0, 12), files: addresses }));
