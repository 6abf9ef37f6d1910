"""Sites of next to nothing, the measure that all machines have in common.

Bare Pyodide and NumPy, as they come from their packages; Pyodide alone; both from the files that the page has of them;
and the page's still alone.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from posekit import serve

HERE = Path(__file__).resolve().parent
WEB = HERE.parent
PYODIDE = ("pyodide.mjs", "pyodide.asm.js", "pyodide.asm.wasm", "python_stdlib.zip", "pyodide-lock.json")
STILL = """<!doctype html><html><body>
<picture class="still"><img elementtiming="still" src="still.webp" alt="" decoding="sync" width="1200" /></picture>
</body></html>"""
START = """const worker = new Worker("./{}", {{type: "module"}});
worker.onmessage = () => (document.documentElement.dataset.engine = "ready");
"""
# The page that has each, and what its worker runs.
BARE, ALONE, OURS = "", "alone.html", "ours.html"
WORKERS = {"index": "bare.js", "alone": "bare.js?alone", "ours": "ours.js"}


@contextmanager
def served(*folders: Path) -> Iterator[str]:
    with serve.running(serve.Site(folders)) as server:
        yield server.address


@contextmanager
def bare() -> Iterator[str]:
    """A site that holds bare Pyodide and the wheel of NumPy: BARE, ALONE and OURS."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        for file in PYODIDE:
            shutil.copy(WEB / "node_modules" / "pyodide" / file, folder)
        (wheel,) = (WEB / ".cache" / "wheels").glob("numpy-*.whl")
        shutil.copy(wheel, folder / "numpy.whl")
        shutil.copy(WEB / ".cache" / "runtime" / "manifest.json", folder)
        for name, worker in WORKERS.items():
            shutil.copy(HERE / worker.partition("?")[0], folder)
            (folder / f"start-{name}.js").write_text(START.format(worker))
            (folder / f"{name}.html").write_text(
                f'<!doctype html><html><script src="start-{name}.js"></script></html>'
            )
        with served(folder, WEB.parent / "posekit" / "page") as address:
            yield address


@contextmanager
def still_alone() -> Iterator[str]:
    """A site that holds the still and nothing else: no page can be seen sooner in this browser."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        shutil.copy(WEB / "src" / "view" / "still" / "light-wide.webp", folder / "still.webp")
        (folder / "index.html").write_text(STILL)
        with served(folder) as address:
            yield address
