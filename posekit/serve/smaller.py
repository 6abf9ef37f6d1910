"""The same file in fewer bytes: by brotli as the build laid it beside, by gzip as it is made here.

Only names that carry a hash have such a form, so that what lies beside one is right for good.
"""

from __future__ import annotations

import gzip
from functools import lru_cache
from pathlib import Path

from posekit.budgets import FOLDER_BYTES
from posekit.paths import read_within

BROTLI, GZIP = ".br", ".gz"
BESIDE = (BROTLI, GZIP)  # endings of what lies beside a file
WORTH = 0.9  # of the plain bytes: what saves less goes out plain. As in web/runtime/smaller.mjs
# zlib's own choice of level: of the Python runtime it leaves 1 % more than the highest and takes a quarter of its time.
LEVEL = 6
HELD = 32  # a first visit asks for a dozen


def brotli_of(place: Path) -> Path | None:
    """Where the build laid the file in brotli, or None."""
    beside = place.with_name(place.name + BROTLI)
    return beside if beside.is_file() else None


@lru_cache(maxsize=HELD)
def gzip_of(place: Path) -> bytes | None:
    """The file by gzip, or None if that saves too little or the file is larger than is held here."""
    if place.stat().st_size > FOLDER_BYTES:  # a zip is a little more than the folder in it
        return None
    return gzipped(read_within(place, FOLDER_BYTES))


def gzipped(content: bytes) -> bytes | None:
    """These bytes by gzip, the same each time, or None if that saves too little."""
    made = gzip.compress(content, LEVEL, mtime=0)
    return made if len(made) < WORTH * len(content) else None


def accepts(header: str, coding: str) -> bool:
    """Whether Accept-Encoding names a coding and does not weigh it 0 (RFC 9110, 12.5.3)."""
    for part in header.lower().split(","):
        name, *about = (word.strip() for word in part.split(";"))
        if name == coding:
            return not any(word.startswith("q=") and not word[2:].strip("0.") for word in about)
    return False
