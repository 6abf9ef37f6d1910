// A hinge read off meshes of 100,000 triangles, in the page's runtime: node hinge_in_pyodide.mjs RUNTIME ROOT
// ROOT is a checkout of the project. Prints milliseconds, the best of some repeats.

import { resolve } from "node:path";
import { openRuntime } from "../../web/runtime/node.mjs";

const [runtime, root] = process.argv.slice(2);
const { python } = await openRuntime(runtime);
python.FS.mkdirTree("/root");
python.mountNodeFS("/root", resolve(root));
console.log(python.runPython(`
import sys, time
sys.path.insert(0, "/root")
from tests.bench.bench_hinge import best, parts, told

"\\n".join(
    f"{name}: {len(mesh[1])} triangles, {told(mesh, point)}, "
    f"{best(lambda: told(mesh, point), time.perf_counter):.0f} ms"
    for name, (mesh, point) in parts().items()
)
`));
