// What was made ahead for the core against what `dataclasses` writes when a page imports it, desk by desk: node ahead.mjs RUNTIME

import { openRuntime } from "../../web/runtime/node.mjs";

const { python } = await openRuntime(process.argv[2], { everything: true });
const told = python.runPython(`
import dataclasses, json, marshal
from importlib.util import find_spec
from pathlib import Path

made = marshal.loads(Path(find_spec("ahead").origin).with_name("made-ahead.bin").read_bytes())
met = []

def noted(text, *names):
    met.append(text)
    exec(text, *names)

dataclasses.exec = noted
from posekit.bridge import Dispatcher
from posekit.bridge.desks import desks
Dispatcher()
assert all(desks())
core = [text for text in met if "__create_fn__" in text]
same = [marshal.loads(made[text]) == compile(text, "<string>", "exec") for text in core if text in made]
json.dumps({"met": len(core), "made": len(same), "same": sum(same)})
`);
console.log(told);
process.exit(0);
