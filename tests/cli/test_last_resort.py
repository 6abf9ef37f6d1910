"""Whatever happens to a command, it ends in words and with an exit status that says so."""

from __future__ import annotations

import errno
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import posekit
from posekit.cli import main

HERON = str(Path(__file__).parents[2] / "models" / "heron")
CASES = Path(__file__).parents[1] / "cases" / "valid"
COMMAND = [sys.executable, "-c", "from posekit.cli import main; main()"]
posix = pytest.mark.skipif(sys.platform == "win32", reason="devices and signals of POSIX")
pytestmark = pytest.mark.native


def run(*words: str) -> Result:
    return CliRunner().invoke(main, words)


@pytest.fixture
def small(tmp_path: Path) -> str:
    """The folder of the smallest prop that moves: how a command ends does not depend on what it works at."""
    folder = tmp_path / "arm"
    folder.mkdir()
    (folder / "prop.toml").write_bytes((CASES / "arm.toml").read_bytes())
    return str(folder)


def raising(problem: BaseException) -> Callable[..., None]:
    def fail(*_: object, **__: object) -> None:
        raise problem

    return fail


def test_a_fault_of_posekit_is_told_in_one_line_with_the_place_of_its_details(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    monkeypatch.setattr("posekit.load", raising(ZeroDivisionError("\x1b[31m")))
    done = run("pose", HERON, "alert")
    assert (done.exit_code, done.stdout) == (70, "")
    (line,) = done.stderr.splitlines()
    assert line.startswith("posekit itself failed (ZeroDivisionError)") and "No file was written." in line
    (place,) = re.findall(r"the details are in (\S+);", line)
    details = Path(place).read_text()
    assert "Traceback" in details and posekit.__version__ in details and "ZeroDivisionError" in details


def test_a_fault_after_a_file_was_written_names_that_file(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("posekit.cli.pose.print_json", raising(RuntimeError()))
    out = tmp_path / "a.glb"
    done = run("pose", HERON, "alert", "-o", str(out), "--json")
    assert done.exit_code == 70
    assert f"Written before that, and whole: {out}." in done.stderr
    assert posekit.load(out).name == posekit.load(HERON).name


def test_a_fault_whose_details_find_no_room_is_told_all_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("posekit.load", raising(RuntimeError()))
    monkeypatch.setattr(
        "tempfile.mkstemp", raising(OSError(errno.ENOSPC, "No space left on device", "/tmp/x"))
    )
    done = run("pose", HERON, "alert")
    assert done.exit_code == 70
    assert "could not be saved (No space left on device)" in done.stderr


@pytest.mark.parametrize(
    ("problem", "status", "said"),
    [
        (MemoryError(), 70, "not enough memory"),
        (RecursionError(), 70, "posekit itself failed (RecursionError)"),
        (KeyboardInterrupt(), 130, "Stopped. No file was written."),
        (BrokenPipeError(errno.EPIPE, "Broken pipe"), 141, ""),
        (
            OSError(errno.ENOSPC, "No space left on device"),
            2,
            "could not be written (No space left on device)",
        ),
    ],
)
def test_each_way_to_end_has_its_words_and_its_status(
    monkeypatch: pytest.MonkeyPatch, problem: BaseException, status: int, said: str
) -> None:
    monkeypatch.setattr("posekit.load", raising(problem))
    done = run("pose", HERON, "alert")
    assert done.exit_code == status
    assert said in done.stderr and "Traceback" not in done.stderr


@posix
@pytest.mark.parametrize("held", ["", "1"])
@pytest.mark.parametrize(
    "words", [["pose", "PROP", "@middle", "--json"], ["check", "PROP"], ["schema"], ["--help"]]
)
def test_output_that_finds_no_room_is_told_once_and_is_no_success(
    words: list[str], held: str, small: str
) -> None:
    """Whether Python holds what is printed until there is more of it, or not."""
    words = [small if word == "PROP" else word for word in words]
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [*COMMAND, *words],
            env=os.environ | {"PYTHONUNBUFFERED": held},
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            timeout=60,
        )
    assert done.returncode == 2
    assert done.stderr.splitlines() == [
        "The output could not be written (No space left on device). No file was written."
    ]


@posix
def test_words_that_find_no_room_on_either_stream_still_give_a_status() -> None:
    with open("/dev/full", "w") as full:
        done = subprocess.run([*COMMAND, "pose", "nothing", "x"], stdout=full, stderr=full, timeout=60)
    assert done.returncode == 2


@posix
@pytest.mark.parametrize("words", [["pose", HERON, "alert", "--json"], ["schema"]])
def test_a_reader_that_leaves_ends_the_command_without_a_word(words: list[str]) -> None:
    with subprocess.Popen([*COMMAND, *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        assert running.stdout is not None and running.stderr is not None
        running.stdout.close()
        assert running.stderr.read() == b""
        assert running.wait(60) == 141


@posix
def test_closed_streams_are_no_fault(tmp_path: Path) -> None:
    for closed in (">&-", "2>&-", ">&- 2>&-", "<&-"):
        words = " ".join([*map(repr, COMMAND), "schema", closed])
        done = subprocess.run(words, shell=True, capture_output=True, text=True, timeout=60)
        assert "Traceback" not in done.stderr and "failed" not in done.stderr, (closed, done.stderr)
        assert done.returncode in (0, 2), (closed, done.returncode)


@posix
@pytest.mark.parametrize("after_s", [0.01, 0.05, 0.1, 0.2, 0.4, 0.8, 1.6, 3.2])
def test_control_c_stops_a_command_in_words_at_any_moment(after_s: float) -> None:
    start = "from posekit.command import main; import os; os.write(2, b'started '); main()"
    words = [sys.executable, "-c", start, "envelope", HERON, "--resolution", "0.05"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        assert running.stderr is not None and running.stderr.read(8) == b"started "
        time.sleep(after_s)
        running.send_signal(signal.SIGINT)
        _, said = running.communicate(timeout=60)
    if after_s > 0.4 and running.returncode != 130:  # a quick machine was done before
        assert (running.returncode, said) == (1, b"")
        return
    assert running.returncode == 130
    assert said.decode().strip().split("\n") == ["Stopped. No file was written."]


@posix
def test_control_c_in_the_middle_of_an_import_ends_at_once_in_the_same_words(tmp_path: Path) -> None:
    """A compiled module that is interrupted while it is set up may fall: here it would swallow the interrupt."""
    (tmp_path / "slow_to_load.py").write_text(
        "import os, time\nos.write(2, b'loading ')\nend = time.monotonic() + 60\n"
        "while time.monotonic() < end:\n    try: time.sleep(0.1)\n    except KeyboardInterrupt: pass\n"
    )
    start = (
        "import posekit, sys; from posekit.cli import main\n"
        f"sys.path.insert(0, {str(tmp_path)!r}); posekit.load = lambda _: __import__('slow_to_load')\n"
        "main()"
    )
    words = [sys.executable, "-c", start, "check", HERON]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        assert running.stderr is not None and running.stderr.read(8) == b"loading "
        running.send_signal(signal.SIGINT)
        _, said = running.communicate(timeout=50)
    assert (running.returncode, said) == (130, b"Stopped. No file was written.\n")


@posix
def test_a_disk_that_is_full_leaves_the_old_file_and_no_rest(tmp_path: Path, small: str) -> None:
    (tmp_path / "out").mkdir()
    out = tmp_path / "out" / "a.glb"
    assert run("pose", small, "@rest", "-o", str(out)).exit_code == 0
    before = out.read_bytes()
    limit = f"import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000)); {COMMAND[2]}"
    words = [sys.executable, "-c", limit, "pose", small, "@middle", "-o", str(out)]
    done = subprocess.run(words, capture_output=True, text=True, timeout=60)
    assert done.returncode == 2
    assert "cannot be written" in done.stderr and "Traceback" not in done.stderr
    assert out.read_bytes() == before
    assert [place.name for place in out.parent.iterdir()] == ["a.glb"]
