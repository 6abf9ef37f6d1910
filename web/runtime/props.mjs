// Make the demo props ready for the page: node runtime/props.mjs RUNTIME OUT
// The core that the page will run does it, so a runtime that cannot pose a prop never gets into a page.

import { mkdir, readdir, rm, stat, writeFile } from "node:fs/promises";
import { basename, dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { openRuntime } from "./node.mjs";

const FIRST = "heron"; // what a visitor sees who asks for nothing else
const models = resolve(dirname(fileURLToPath(import.meta.url)), "../../models");
const [runtime, out] = process.argv.slice(2).map((path) => resolve(path));

const { python } = await openRuntime(runtime, { everything: true });
python.FS.mkdirTree("/models");
python.mountNodeFS("/models", models);
const make = python.runPython(`
import json
from dataclasses import asdict
import posekit
from posekit.bridge.site_entry import site_entry

def make(name):
    entry, files = site_entry(name, posekit.load(f"/models/{name}"))
    return json.dumps(asdict(entry)), files

make
`);

await rm(out, { recursive: true, force: true });
await mkdir(out, { recursive: true });
const index = [];
const names = (await readdir(models)).sort((a, b) => Number(b === FIRST) - Number(a === FIRST) || (a < b ? -1 : 1));
for (const name of names) {
  if (!(await stat(join(models, name, "prop.toml")).catch(() => null))) continue;
  const [entry, files] = make(name).toJs();
  index.push(JSON.parse(entry));
  for (const [address, content] of Object.entries(files)) await writeFile(join(out, basename(address)), content);
}
await writeFile(join(out, "index.json"), JSON.stringify(index));
