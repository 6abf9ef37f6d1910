"""`posekit show`: where the page is, and how it ends."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest
from click.testing import CliRunner

from posekit.cli import main
from posekit.serve import Server

HERON = Path(__file__).parents[2] / "models" / "heron"
pytestmark = [
    pytest.mark.native,
    pytest.mark.skipif(sys.platform == "win32", reason="no SIGINT for another process there"),
]


@pytest.mark.parametrize(("number", "status"), [(signal.SIGINT, 0), (signal.SIGTERM, 143)])
def test_the_command_says_where_the_page_is_and_ends_in_order(
    tmp_path: Path, number: signal.Signals, status: int
) -> None:
    command = [sys.executable, "-c", "from posekit.cli import main; main()", "show", str(HERON), "--no-open"]
    environment = {**os.environ, "TMPDIR": str(tmp_path)}
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=tmp_path, env=environment
    ) as running:
        assert running.stdout is not None and running.stderr is not None
        said = running.stdout.readline()
        (address,) = re.findall(r"(http://127\.0\.0\.1:\d+/)#key=\S{40,} ", said)
        with urllib.request.urlopen(f"{address}props/index.json", timeout=10) as answer:
            entries = json.load(answer)
        running.send_signal(number)
        assert running.wait(20) == status
        assert running.stderr.read() == ""
    names = [entry["name"] for entry in entries]
    assert names[0] == "heron"
    assert len(names) == len(set(names))
    assert list(tmp_path.iterdir()) == [], "what was served is cleared away"


@pytest.mark.parametrize("port", ["-1", "65536", "x"])
def test_a_port_that_is_none_is_told_in_words(port: str) -> None:
    done = CliRunner().invoke(main, ["show", str(HERON), "--no-open", "--port", port])
    assert done.exit_code == 2 and port in done.stderr


@pytest.mark.parametrize("opens", [True, False])
def test_the_key_is_given_out_once_to_the_browser_or_where_none_opens_to_the_builder(
    opens: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    monkeypatch.setattr("webbrowser.open", lambda address: asked.append(address) or opens)
    monkeypatch.setattr(Server, "run", lambda server: None)
    done = CliRunner().invoke(main, ["show", str(HERON), "--json"])
    assert done.exit_code == 0, done.output
    (entrance,) = asked
    address, _, key = entrance.partition("#key=")
    assert len(key) > 40
    assert json.loads(done.stdout) == {"address": address if opens else entrance}
