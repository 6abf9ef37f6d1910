"""Modules of the page run by Node, without a page: with parts in place of what they import."""

from __future__ import annotations

import json
import shutil
import subprocess
from typing import Any

import pytest

from tests.conftest import ROOT

needs_node = pytest.mark.skipif(shutil.which("node") is None, reason="needs node")
# `loaded` is what a module of web/src exports, `given` what the test gives, `tell` gives something back to it.
NODE = """
const ts = require("./node_modules/typescript");
const given = JSON.parse(process.argv[1]);
const tell = (found) => void process.stdout.write(JSON.stringify(found));
function loaded(name, parts) {
  const made = { exports: {} };
  const read = require("fs").readFileSync(`src/${name}.ts`, "utf8");
  const text = ts.transpileModule(read, { compilerOptions: { module: "commonjs", target: "es2022" } }).outputText;
  new Function("exports", "require", text)(made.exports, (asked) => parts[asked]);
  return made.exports;
}
"""


def told_by(script: str, given: object) -> Any:
    """What a script tells of what it is given."""
    words = ["node", "-e", NODE + script, json.dumps(given)]
    return json.loads(
        subprocess.run(words, cwd=ROOT / "web", capture_output=True, text=True, check=True).stdout
    )
