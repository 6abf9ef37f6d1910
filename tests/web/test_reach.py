"""Who can open the address of the page, as the page tells it from the address alone."""

from __future__ import annotations

import json
import shutil
import subprocess

import pytest

from tests.conftest import ROOT

pytestmark = pytest.mark.native
HOSTS = {
    "machine": ["localhost", "127.0.0.1", "[::1]", "page.localhost"],
    "network": [
        *("workshop", "pi.local", "pi.lan", "site.internal", "pi.home.arpa", "PI.LAN"),
        *("192.168.1.4", "10.1.2.3", "172.31.0.1", "100.64.0.1", "100.127.9.9", "[fd12::1]", "[fe80::1]"),
    ],
    "anyone": ["example.org", "lan.example.org", "100.63.0.1", "100.128.0.1", "172.32.0.1", "[2001:db8::1]"],
}
ASK = """
const ts = require("./node_modules/typescript");
const text = require("fs").readFileSync("src/work/reach.ts", "utf8");
globalThis.document = { documentElement: { dataset: {} } };
const made = { exports: {} };
new Function("exports", ts.transpileModule(text, { compilerOptions: { module: "commonjs" } }).outputText)(made.exports);
const told = JSON.parse(process.argv[1]).map((host) => {
  globalThis.location = new URL(`http://${host}/`);
  return made.exports.reach();
});
process.stdout.write(JSON.stringify(told));
"""


@pytest.mark.skipif(shutil.which("node") is None, reason="needs node")
def test_names_and_addresses_within_a_network_are_not_told_as_those_of_a_site() -> None:
    hosts = [host for each in HOSTS.values() for host in each]
    words = ["node", "-e", ASK, json.dumps(hosts)]
    told = subprocess.run(words, cwd=ROOT / "web", capture_output=True, text=True, check=True).stdout
    wanted = {host: reach for reach, each in HOSTS.items() for host in each}
    assert dict(zip(hosts, json.loads(told), strict=True)) == wanted
