// Build what the page runs Python with: node runtime/build.mjs WHEELS OUT
// Everything lands in OUT under a name that carries a hash of its content; manifest.json says what is what, to the build and under Node.

import { createHash } from "node:crypto";
import { mkdir, readFile, readdir, rm, writeFile } from "node:fs/promises";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { unzipSync } from "fflate";
import { loadPyodide, version } from "pyodide";
import { shortened } from "./exported.mjs";
import { unpack } from "./node.mjs";

// Fetched only when something imports the module: the wheels that come along then.
const LATER = {
  trimesh: ["trimesh"],
  dpkt: ["dpkt"],
  pygltflib: [
    "pygltflib", "dataclasses_json", "marshmallow", "packaging", "typing_inspect", "typing_extensions",
    "mypy_extensions", "deprecated", "wrapt",
  ],
};
// NumPy itself imports these only when asked for them; together they are a third of it.
const NUMPY_LATER = ["fft", "ma", "polynomial", "random", "testing"];

const here = dirname(fileURLToPath(import.meta.url));
const root = resolve(here, "../..");
const [wheels, out] = process.argv.slice(2).map((path) => resolve(path));

const python = await loadPyodide();
const pyodide = join(root, "web/node_modules/pyodide");
for (const [place, folder] of Object.entries({ "/build/runtime": here, "/wheels": wheels, "/sources/posekit": join(root, "posekit"), "/pyodide": pyodide })) {
  python.FS.mkdirTree(place);
  python.mountNodeFS(place, folder);
}
python.runPython("import sys; sys.path.insert(0, '/build')");
const pack = python.pyimport("runtime.pack");

await rm(out, { recursive: true, force: true });
await mkdir(out, { recursive: true });
const numpyLater = `^numpy/(${NUMPY_LATER.join("|")})/`;
const numpyRest = await keep("numpy-rest", pack.rest([await wheel("numpy")], numpyLater));
const later = Object.fromEntries(NUMPY_LATER.map((part) => [`numpy.${part}`, numpyRest]));
const [seldom, stdlibRest] = pack.standard_library_rest("/pyodide/python_stdlib.zip").toJs({ depth: 1 });
const restOfPython = await keep("stdlib-rest", stdlibRest);
for (const module of seldom.toJs()) later[module] = restOfPython;
for (const [module, names] of Object.entries(LATER)) {
  later[module] = await keep(module, pack.wheels(await Promise.all(names.map(wheel))));
}
const numpy = await keep("numpy", pack.wheels([await wheel("numpy")], numpyLater));
await unpack(python, join(out, numpy.file)); // the core is imported to see what it makes
const stdlib = await keep("stdlib", pack.standard_library("/pyodide/python_stdlib.zip"));
const first = [numpy, await keep("posekit", pack.core("/sources/posekit"))];
const manifest = {
  python: python.runPython("import platform; platform.python_version()"),
  pyodide: await keepPyodide(await linkedLater()),
  stdlib,
  first,
  later,
};
await writeFile(join(out, "package.json"), "{}\n"); // Node would take Pyodide's loader for a module, as all else in web/
await writeFile(join(out, "manifest.json"), `${JSON.stringify(manifest, null, 2)}\n`);

/** The wheel of a package, as Python sees it. */
async function wheel(name) {
  const files = (await readdir(wheels)).filter((file) => file.startsWith(`${name}-`));
  if (files.length !== 1) throw new Error(`${wheels}: one wheel of ${name} is wanted, found ${files.length}`);
  return `/wheels/${files[0]}`;
}

/** Write an archive that Python made. */
async function keep(name, made) {
  const bytes = made.toJs?.() ?? made;
  const file = `${name}-${hash(bytes)}.zip`;
  await writeFile(join(out, file), bytes);
  return { file, bytes: bytes.length };
}

/** All binaries that are linked to Pyodide's own, now or later: they lie in the archives. */
async function linkedLater() {
  const archives = (await readdir(out)).filter((file) => file.endsWith(".zip"));
  const contents = await Promise.all(archives.map((file) => readFile(join(out, file))));
  const binaries = contents.map((content) => unzipSync(content, { filter: ({ name }) => name.endsWith(".so") }));
  return binaries.flatMap(Object.values);
}

/** Pyodide's own three files, with the names that are needed; it looks for them by theirs, so the folder carries the hash. */
async function keepPyodide(linked) {
  const files = ["pyodide.mjs", "pyodide.asm.js", "pyodide.asm.wasm"];
  const [entry, loader, whole] = await Promise.all(files.map((file) => readFile(join(pyodide, file))));
  const short = shortened(whole, loader.toString(), linked);
  const contents = [entry, Buffer.from(short.loader), short.binary];
  const folder = `pyodide-${version}-${hash(Buffer.concat(contents))}`;
  await mkdir(join(out, folder));
  await Promise.all(files.map((file, n) => writeFile(join(out, folder, file), contents[n])));
  const { info } = JSON.parse(await readFile(join(pyodide, "pyodide-lock.json"), "utf8"));
  return { folder, files, info, bytes: contents.reduce((sum, content) => sum + content.length, 0) };
}

function hash(bytes) {
  return createHash("sha256").update(bytes).digest("hex").slice(0, 10);
}
