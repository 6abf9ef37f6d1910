// Pyodide with NumPy from the files that the page has of them, compressed and without what nobody asks for, and no posekit.
const { pyodide, stdlib, first } = await (await fetch("./manifest.json")).json();
const runtime = new URL("./runtime/", import.meta.url).href;
const indexURL = `${runtime}${pyodide.folder}/`;
const numpy = fetch(runtime + first[0].file).then((answer) => answer.arrayBuffer());
const [{ loadPyodide }] = await Promise.all([import(`${indexURL}pyodide.mjs`), import(`${indexURL}pyodide.asm.js`)]);
const python = await loadPyodide({
  indexURL,
  stdLibURL: runtime + stdlib.file,
  lockFileContents: JSON.stringify({ info: pyodide.info, packages: {} }),
  packageBaseUrl: runtime,
});
python.unpackArchive(await numpy, "zip", { extractDir: "/lib/python3.13/site-packages" });
python.runPython("import numpy");
self.postMessage("ready");
