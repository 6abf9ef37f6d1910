// Run pytest on the core inside Pyodide: node core_in_pyodide.mjs REPOSITORY RUNTIME WHEELS [arguments for pytest]
// The core is the archive that a page fetches; tests and props are those of the repository.

import { readdir } from "node:fs/promises";
import { join, resolve } from "node:path";
import { openRuntime, unpack } from "../../web/runtime/node.mjs";

const [repository, runtime, wheels, ...args] = process.argv.slice(2);
const { python } = await openRuntime(runtime, { everything: true });
for (const folder of ["tests", "models"]) {
  python.FS.mkdirTree(`/repository/${folder}`);
  python.mountNodeFS(`/repository/${folder}`, resolve(repository, folder));
}
for (const wheel of (await readdir(wheels)).filter((file) => file.endsWith(".whl"))) {
  await unpack(python, join(wheels, wheel));
}
python.globals.set("given", python.toPy(args));
const status = python.runPython(`
import os, sys
sys.path.insert(0, "/repository")
sys.dont_write_bytecode = True
os.chdir("/repository")
import pytest
int(pytest.main(given))
`);
process.exit(status);
