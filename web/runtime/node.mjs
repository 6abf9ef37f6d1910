// The built runtime under Node: the very archives that the page fetches. Pyodide itself is taken from its package,
// of which the page has an exact copy.

import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { loadPyodide } from "pyodide";

const LIBRARIES = "/lib/python3.13/site-packages";

/** Pyodide with NumPy and the core; with `everything` also what a page fetches only when asked for. */
export async function openRuntime(folder, { everything = false } = {}) {
  const manifest = JSON.parse(await readFile(join(folder, "manifest.json"), "utf8"));
  const python = await loadPyodide({
    stdLibURL: join(folder, manifest.stdlib.file),
    lockFileContents: JSON.stringify({ info: manifest.pyodide.info, packages: {} }),
    packageBaseUrl: folder,
  });
  const wanted = everything ? [...manifest.first, ...Object.values(manifest.later)] : manifest.first;
  const archives = new Set(wanted.map(({ file }) => file));
  for (const file of archives) python.unpackArchive(new Uint8Array(await readFile(join(folder, file))), "zip", { extractDir: LIBRARIES });
  return { python, manifest };
}
