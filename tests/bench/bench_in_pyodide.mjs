// Poses in the page's runtime, of one core against another in one run: node bench_in_pyodide.mjs RUNTIME MODELS CORE CORE...
// CORE is a folder that holds a package posekit. Prints microseconds a pose, turn by turn, the best of each.

import { resolve } from "node:path";
import { openRuntime } from "../../web/runtime/node.mjs";

const [runtime, models, ...cores] = process.argv.slice(2);
const { python } = await openRuntime(runtime, { everything: true });
const mounted = [["/models", models], ...cores.map((core, i) => [`/core${i}`, core])];
for (const [at, folder] of mounted) {
  python.FS.mkdirTree(at);
  python.mountNodeFS(at, resolve(folder));
}
python.globals.set("cores", cores.length);
console.log(python.runPython(`
import sys, timeit
import numpy as np

def loaded(core):
    for name in [name for name in sys.modules if name.split(".")[0] == "posekit"]:
        del sys.modules[name]
    sys.path.insert(0, f"/core{core}")
    import posekit, posekit.pipeline, posekit.mechanism.joints as joints
    sys.path.pop(0)
    prop = posekit.load("/models/heron")
    many = np.random.default_rng(1).uniform(-60, 60, (1000, len(prop.joints)))
    values = [drive.rest_value for drive in prop.drives]
    held = {"mechanism": joints.mechanism_of(prop)} if hasattr(joints, "mechanism_of") else {}
    return {
        "forward": (lambda: posekit.forward(prop, many), 1, 1000),
        "one pose, nothing held": (lambda: posekit.pipeline.pose_at(prop, values), 2, 1),
        "one pose, held": (lambda: posekit.pipeline.pose_at(prop, values, **held), 2, 1),
    }

work = [loaded(core) for core in range(cores)]
told = []
for name in work[0]:
    best = [1e9] * cores
    for _ in range(40):
        for core in range(cores):
            do, rounds, poses = work[core][name]
            best[core] = min(best[core], timeit.timeit(do, number=rounds) / rounds / poses * 1e6)
    told.append(f"{name}: " + ", ".join(f"{each:.2f} us" for each in best))
"\\n".join(told)
`));
