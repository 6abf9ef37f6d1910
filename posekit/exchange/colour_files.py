"""What mesh files take besides themselves to tell their colours: files of materials, and pictures made readable.

A file of materials is read from the folder of the OBJ that names it and from nowhere else, by the one rule for paths.
Pictures inside a GLB are read by Pillow, of the extra `posekit[colours]`, or by the browser; at most
`PICTURE_EDGE` pixels a side are looked at, because all that comes of them is a mean.
"""

from __future__ import annotations

import os
import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path, PurePosixPath

import numpy as np

from posekit.arrays import Array
from posekit.budgets import COLOUR_BYTES, PICTURE_EDGE, PICTURE_PIXELS
from posekit.paths import file_inside, inner, read_within, too_large


@dataclass(frozen=True, slots=True)
class ColourFiles:
    """`library(file, name)` is the content of a file that `file` names, None where there is none; it raises
    PosekitError for one it may not reach. `picture(file, number, content)` is a picture of `file` as (H, W, 4), red,
    green, blue and opacity, 0 to 255; it raises ValueError, the end of a sentence, where that cannot be had."""

    library: Callable[[str, str], bytes | None]
    picture: Callable[[str, int, bytes], Array]


def _none(file: str, number: int, content: bytes) -> Array:
    raise ValueError("is not looked at")


NO_FILES = ColourFiles(lambda file, name: None, _none)


def on_disk() -> ColourFiles:
    """For files of this machine, by their paths."""
    return ColourFiles(_beside, lambda file, number, content: _read(content))


def among(files: Mapping[str, bytes], pictures: Mapping[str, bytes]) -> ColourFiles:
    """For `files` by path. `pictures` were read elsewhere: `PICTURE_EDGE` squared pixels of four bytes each, row by
    row, by the path of the file, # and the number in it."""

    def library(file: str, name: str) -> bytes | None:
        content = files.get(str(PurePosixPath(file).parent / inner(name)))
        if content is not None and len(content) > COLOUR_BYTES:
            raise too_large(len(content), COLOUR_BYTES, name, "a file of materials")
        return content

    def picture(file: str, number: int, content: bytes) -> Array:
        found = pictures.get(f"{file}#{number}", b"")
        if len(found) != PICTURE_EDGE * PICTURE_EDGE * 4:
            raise ValueError("cannot be read by this browser")
        return np.frombuffer(found, np.uint8).reshape(PICTURE_EDGE, PICTURE_EDGE, 4).astype(float)

    return ColourFiles(library, picture)


def _read(content: bytes) -> Array:
    """A PNG or JPEG as (H, W, 4), 0 to 255, at most `PICTURE_EDGE` a side.

    Raises ValueError, the end of a sentence, without Pillow and for what is none.
    """
    try:
        from PIL.Image import Resampling
        from PIL.Image import open as picture_in
    except ImportError:
        raise ValueError("needs pip install 'posekit[colours]' to be read") from None
    try:
        with (
            warnings.catch_warnings(action="ignore"),
            picture_in(BytesIO(content), formats=("PNG", "JPEG")) as found,
        ):
            if found.width * found.height > PICTURE_PIXELS:
                raise ValueError("too large")
            small = found.convert("RGBA")
            small.thumbnail((PICTURE_EDGE, PICTURE_EDGE), Resampling.BOX)
            return np.asarray(small, float)
    except MemoryError:
        raise
    except Exception:  # a reader fed with any bytes can raise anything
        raise ValueError("is no PNG or JPEG that can be read") from None


def _beside(file: str, name: str) -> bytes | None:
    place = file_inside(Path(file).parent, name)
    if not os.path.lexists(place):
        return None
    return read_within(place, COLOUR_BYTES, "a file of materials")
