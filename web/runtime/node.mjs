// The built runtime under Node: the very files that the page fetches.

import { readFile } from "node:fs/promises";
import { join, sep } from "node:path";
import { pathToFileURL } from "node:url";

// Node shows the line of source where a fault came from, and Pyodide's is a million letters long.
process.on("uncaughtException", (fault) => {
  console.error(fault.message);
  process.exit(1);
});

const LIBRARIES = "/lib/python3.13/site-packages";

/** Pyodide with NumPy and the core; with `everything` also what a page fetches only when asked for. */
export async function openRuntime(folder, { everything = false } = {}) {
  const manifest = JSON.parse(await readFile(join(folder, "manifest.json"), "utf8"));
  const own = join(folder, manifest.pyodide.folder);
  const { loadPyodide } = await import(pathToFileURL(join(own, "pyodide.mjs")));
  const python = await loadPyodide({
    indexURL: own + sep,
    stdLibURL: join(folder, manifest.stdlib.file),
    lockFileContents: JSON.stringify({ info: manifest.pyodide.info, packages: {} }),
    packageBaseUrl: folder,
  });
  const wanted = everything ? [...manifest.first, ...Object.values(manifest.later)] : manifest.first;
  const archives = new Set(wanted.map(({ file }) => file));
  for (const file of archives) await unpack(python, join(folder, file));
  return { python, manifest };
}

/** Put what is in a zip or a wheel among Pyodide's libraries. */
export async function unpack(python, file) {
  python.unpackArchive(new Uint8Array(await readFile(file)), "zip", { extractDir: LIBRARIES });
}
