// Pose demo props in the page's runtime: node poses.mjs RUNTIME MODELS NAME...; prints JSON.

import { resolve } from "node:path";
import { openRuntime } from "../../web/runtime/node.mjs";

const [runtime, models, ...names] = process.argv.slice(2);
const { python } = await openRuntime(runtime);
python.FS.mkdirTree("/models");
python.mountNodeFS("/models", resolve(models));
python.globals.set("names", python.toPy(names));
console.log(python.runPython(`
import json
import posekit
import posekit.bridge  # all that a page starts with is in its first archives
from posekit.pipeline import pose_at

def pose(name, share):
    prop = posekit.load(f"/models/{name}")
    state = pose_at(prop, [round(share * drive.full_scale) for drive in prop.drives])
    return {
        "pulses": dict(state.pulses),
        "joints": dict(state.joints),
        "links": {link: matrix.tolist() for link, matrix in state.links.items()},
        "clearance": posekit.clearance.distances(prop, state.positions(prop))[0].tolist(),
    }

json.dumps({name: [pose(name, share) for share in (0.0, 0.3, 0.71, 1.0)] for name in names})
`));
