// Bare Pyodide with NumPy, both as they come from their packages, in a worker: what a page of ours is measured against.
// With `?alone` without NumPy: less than that no page with Python takes, but one that keeps a picture of its memory.
import { loadPyodide } from "./pyodide.mjs";

const alone = new URL(import.meta.url).searchParams.has("alone");
const wheel = alone ? null : fetch("./numpy.whl").then((answer) => answer.arrayBuffer());
const python = await loadPyodide({ packageBaseUrl: new URL("./", import.meta.url).href });
if (wheel) {
  python.unpackArchive(await wheel, "wheel");
  python.runPython("import numpy");
}
self.postMessage("ready");
