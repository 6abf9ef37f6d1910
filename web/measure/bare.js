// Bare Pyodide with NumPy, both as they come from their packages, in a worker: what a page of ours is measured against.
import { loadPyodide } from "./pyodide.mjs";

const wheel = fetch("./numpy.whl").then((answer) => answer.arrayBuffer());
const python = await loadPyodide({ packageBaseUrl: new URL("./", import.meta.url).href });
python.unpackArchive(await wheel, "wheel");
python.runPython("import numpy");
self.postMessage("ready");
