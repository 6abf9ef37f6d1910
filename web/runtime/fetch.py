"""Fetch the wheels that the page carries: NumPy for WebAssembly and the pure packages of wheels.txt.

No registry has Pyodide's NumPy wheel under its own name. It is taken out of an npm package that carries
it (numpy.json); nothing else of that package is kept. POSEKIT_NUMPY_WHEEL names a local wheel to take instead.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path

HERE = Path(__file__).parent


def fetch(wheels: Path, npm: list[str]) -> None:
    """Fill the folder `wheels`; files that are there already and have the right hash are kept."""
    fetch_numpy(wheels, npm)
    fetch_pure(wheels, HERE / "wheels.txt")


def fetch_numpy(wheels: Path, npm: list[str]) -> None:
    """The NumPy wheel of numpy.json into the folder `wheels`, or none at all if its hash is another."""
    wheels.mkdir(parents=True, exist_ok=True)
    pin = json.loads((HERE / "numpy.json").read_text())
    wheel = wheels / pin["file"]
    if wheel.exists() and sha256(wheel) == pin["sha256"]:
        return
    if local := os.environ.get("POSEKIT_NUMPY_WHEEL"):
        shutil.copy(local, wheel)
    else:
        with tempfile.TemporaryDirectory() as folder:
            subprocess.run(
                [*npm, "pack", "--silent", pin["from"]["npm"]], cwd=folder, check=True, stdout=sys.stderr
            )
            (carrier,) = Path(folder).glob("*.tgz")
            with tarfile.open(carrier) as archive:
                found = archive.extractfile(pin["from"]["member"] + pin["file"])
                assert found is not None
                wheel.write_bytes(found.read())
    if sha256(wheel) != pin["sha256"]:
        wheel.unlink()
        raise SystemExit(f"{pin['file']}: its SHA-256 is not the one pinned in {HERE / 'numpy.json'}")


def fetch_pure(wheels: Path, pins: Path) -> None:
    """The wheels that a file of pins names, into the folder `wheels`; pip checks their hashes."""
    wheels.mkdir(parents=True, exist_ok=True)
    stamp, wanted = wheels / "wheels.txt", pins.read_text()
    if stamp.exists() and stamp.read_text() == wanted:
        return
    for old in wheels.glob("*-none-any.whl"):
        old.unlink()
    flags = ["--quiet", "--no-deps", "--only-binary=:all:", "--require-hashes", "--disable-pip-version-check"]
    # The wheels are for the browser's Python, not for the one that builds.
    target = ["--python-version=3.13", "--platform=any", "--abi=none", "--implementation=py"]
    command = [sys.executable, "-m", "pip", "download", *flags, *target, "-d", str(wheels)]
    subprocess.run([*command, "-r", str(pins)], check=True)
    stamp.write_text(wanted)


def sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
