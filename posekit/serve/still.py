"""The still that the built page begins with, until its figure is drawn: of the demo prop, and so of no other."""

from __future__ import annotations

import io
import json
import re
import zipfile
from pathlib import Path

from posekit.bridge.site_entry import INDEX
from posekit.budgets import FOLDER_BYTES
from posekit.paths import read_within
from posekit.prop.folder import PROP_FILE
from posekit.prop.model import Prop

MARKUP = "index.html"
STILL = re.compile(rb'\s*<picture class="still">.*?</picture>', re.DOTALL)


def without_still(markup: bytes) -> bytes:
    """The page as it is where another prop comes first, or one that may change."""
    return STILL.sub(b"", markup)


def markup_for(page: Path, prop: Prop) -> bytes:
    """The built page where this prop comes first: with its still, if it is the demo prop to the letter."""
    markup = read_within(page / MARKUP, FOLDER_BYTES)
    return markup if {PROP_FILE: prop.text.encode(), **prop.files} == _demo(page) else without_still(markup)


def _demo(page: Path) -> dict[str, bytes]:
    """The files of the first prop of the built page, by path from its folder."""
    first = json.loads(read_within(page / INDEX, FOLDER_BYTES))[0]
    with zipfile.ZipFile(io.BytesIO(read_within(page / first["folder"], FOLDER_BYTES))) as archive:
        return {path.removeprefix(f"{first['name']}/"): archive.read(path) for path in archive.namelist()}
