"""Sites of next to nothing, the measure that all machines have in common.

Bare Pyodide and NumPy, as they come from their packages, and the page's still alone.
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
START = """const worker = new Worker("./bare.js", {type: "module"});
worker.onmessage = () => (document.documentElement.dataset.engine = "ready");
"""


@contextmanager
def served(folder: Path) -> Iterator[str]:
    with serve.running(serve.Site((folder,))) as server:
        yield server.address


@contextmanager
def bare() -> Iterator[str]:
    """A site that holds bare Pyodide and the wheel of NumPy."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        for file in PYODIDE:
            shutil.copy(WEB / "node_modules" / "pyodide" / file, folder)
        (wheel,) = (WEB / ".cache" / "wheels").glob("numpy-*.whl")
        shutil.copy(wheel, folder / "numpy.whl")
        shutil.copy(HERE / "bare.js", folder)
        (folder / "start.js").write_text(START)
        (folder / "index.html").write_text('<!doctype html><html><script src="start.js"></script></html>')
        with served(folder) as address:
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
