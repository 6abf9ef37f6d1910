// What the page's Pyodide exports, beside what its package does: node exported.mjs RUNTIME PACKAGE; prints JSON.

import { readFile, readdir } from "node:fs/promises";
import { join } from "node:path";
import { unzipSync } from "../../web/node_modules/fflate/esm/index.mjs";

const [runtime, folder] = process.argv.slice(2);
const { pyodide } = JSON.parse(await readFile(join(runtime, "manifest.json"), "utf8"));
const [ours, whole] = await Promise.all(
  [join(runtime, pyodide.folder), folder].map(async (place) => compiled(await readFile(join(place, "pyodide.asm.wasm")))),
);
const archives = (await readdir(runtime)).filter((file) => file.endsWith(".zip"));
const linked = [ours];
for (const archive of archives) {
  const binaries = unzipSync(await readFile(join(runtime, archive)), { filter: ({ name }) => name.endsWith(".so") });
  linked.push(...Object.values(binaries).map(compiled));
}
const had = names(WebAssembly.Module.exports(whole));
const has = new Set(names(WebAssembly.Module.exports(ours)));
const asked = new Set(linked.flatMap((module) => names(WebAssembly.Module.imports(module))));
const dropped = had.filter((name) => !has.has(name));
console.log(JSON.stringify({
  had: had.length,
  has: has.size,
  linked: linked.length,
  missing: dropped.filter((name) => asked.has(name)),
  loader: await readFile(join(runtime, pyodide.folder, "pyodide.asm.js"), "utf8"),
  dropped,
}));

function compiled(bytes) {
  return new WebAssembly.Module(bytes);
}

function names(entries) {
  return entries.map(({ name }) => name);
}
