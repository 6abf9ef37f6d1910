"""Where `posekit envelope` writes: changed end points and maps never replace a file."""

from __future__ import annotations

from pathlib import Path

from posekit.errors import PosekitError, error
from posekit.prop.writer import write_whole


def must_be_new(place: Path) -> None:
    """Refuse a place where a file is already."""
    if place.exists():
        sentence = "is there already and is never written over; use another name"
        raise PosekitError([error("exists", "", sentence, file=str(place))])


def write_new(place: Path, text: str) -> None:
    """Write a file that is not there yet."""
    must_be_new(place)
    write_whole(place, text.encode())
