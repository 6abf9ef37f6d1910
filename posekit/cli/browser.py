"""A browser of the machine, found by its name, that turns a printed document into a PDF or a PNG."""

from __future__ import annotations

import base64
import hashlib
import os
import re
import shutil
import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory

from posekit.budgets import FOLDER_BYTES
from posekit.errors import PosekitError, error
from posekit.paths import read_within
from posekit.prop.writer import write_whole
from posekit.text import listed

NAMED = "POSEKIT_CHROMIUM"
NAMES = (
    "chromium", "chromium-browser", "google-chrome-stable", "google-chrome", "chrome", "microsoft-edge", "msedge",
    "chromium-headless-shell",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
)  # fmt: skip
FLAGS = (
    "--headless", "--disable-gpu", "--hide-scrollbars", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-quic", "--disable-extensions",
)  # fmt: skip
WAIT_S = 120.0
WIDTH = 800  # px that the document is laid out in
FINEST, TALLEST = 2.0, 16_000  # pixels for each of those, and of a whole picture: browsers draw no taller one
# The document itself has no script: this one, in a copy, says how tall it gets.
SCRIPT = "document.documentElement.dataset.tall = document.documentElement.scrollHeight"


def drawn(html: bytes, ending: str) -> bytes:
    """A document as `.pdf`, on the paper that it asks for, or as `.png`, all of it in one picture.

    Raises PosekitError where no browser is found, or it does not do it.
    """
    browser = _found(ending)
    with TemporaryDirectory(prefix="posekit-sheet-") as folder:
        place, out = Path(folder, "sheet.html"), Path(folder, f"out{ending}")
        write_whole(place, html)
        if ending == ".pdf":
            _run(browser, folder, place, f"--print-to-pdf={out}", "--no-pdf-header-footer")
        else:
            tall = _height(browser, folder, html)
            if tall > TALLEST:
                sentence = "would be taller than a browser draws; name fewer looks, or write a .pdf"
                raise PosekitError([error("too-large", "--sheet", sentence)])
            finer = min(FINEST, TALLEST / tall)
            _run(
                browser, folder, place, f"--screenshot={out}", f"--window-size={WIDTH},{tall}",
                f"--force-device-scale-factor={finer:.3f}",
            )  # fmt: skip
        if not out.is_file():
            raise PosekitError(
                [error("browser", "--sheet", f"{browser} ran and drew nothing; write an .html")]
            )
        return read_within(out, FOLDER_BYTES, "a picture sheet")


def _found(ending: str) -> str:
    """The browser to be used. Raises PosekitError where there is none."""
    for name in (os.environ.get(NAMED, ""), *NAMES):
        if name and (found := shutil.which(name)):
            return found
    names = listed(name for name in NAMES if "/" not in name)
    sentence = (
        f"a {ending} is drawn by a browser, and none was found ({names}); install one of these, name it by "
    )
    sentence += f"{NAMED}, or write an .html, which any browser prints"
    raise PosekitError([error("no-browser", "--sheet", sentence)])


def _height(browser: str, folder: str, html: bytes) -> int:
    """How many px a document is tall."""
    digest = base64.b64encode(hashlib.sha256(SCRIPT.encode()).digest())
    allowed = html.replace(
        b"default-src 'none';", b"default-src 'none'; script-src 'sha256-" + digest + b"';", 1
    )
    place = Path(folder, "tall.html")
    write_whole(place, allowed.replace(b"</body>", f"<script>{SCRIPT}</script></body>".encode(), 1))
    seen = _run(browser, folder, place, "--dump-dom", f"--window-size={WIDTH},{WIDTH}")
    told = re.search(r'^<html[^>]* data-tall="(\d+)"', seen, re.MULTILINE)
    if told is None:
        raise PosekitError([error("browser", "--sheet", f"{browser} cannot lay it out; write an .html")])
    return int(told[1])


def _run(browser: str, folder: str, place: Path, *flags: str) -> str:
    """Run the browser on a file, in a profile that is thrown away, and give what it prints."""
    root = ["--no-sandbox"] if getattr(os, "geteuid", lambda: 1)() == 0 else []  # which it asks root for
    command = [browser, *FLAGS, *root, f"--user-data-dir={folder}/profile", *flags, place.as_uri()]
    try:
        done = subprocess.run(command, capture_output=True, timeout=WAIT_S, check=True)
    except (OSError, subprocess.SubprocessError) as problem:
        sentence = f"{browser} cannot do it ({type(problem).__name__}); use another, or write an .html"
        raise PosekitError([error("browser", "--sheet", sentence)]) from problem
    return done.stdout.decode(errors="replace")
