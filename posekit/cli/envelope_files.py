"""Where `posekit envelope` writes: changed end points and maps never replace a file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from posekit.cli.files import note_written
from posekit.errors import PosekitError, error
from posekit.prop.writer import write_whole


def must_be_new(places: Mapping[str, Path | None]) -> None:
    """Refuse, before any work, places by option that hold a file, lie where none can be, or are one and the same."""
    given = {option: place for option, place in places.items() if place is not None}
    problems = [
        error(code, option, sentence, file=str(place))
        for option, place in given.items()
        for code, sentence in _problems(
            option, place, [each for other, each in given.items() if other != option]
        )
    ]
    if problems:
        raise PosekitError(problems)


def _problems(option: str, place: Path, others: Sequence[Path]) -> Iterator[tuple[str, str]]:
    try:
        if place.exists() or place.is_symlink():  # a link to nothing is somebody's, too
            yield "exists", "is there already and is never overwritten; use another name"
        elif not place.absolute().parent.is_dir():
            yield "no-folder", f"cannot be written: the folder {place.parent} does not exist; make it first"
    except OSError as problem:
        yield "unwritable", f"cannot be written ({problem.strerror})"
    if option == "--map" and place.suffix != ".svg":
        yield "wrong-ending", "must end in .svg: maps are SVG files"
    if place in others:
        yield "same-place", "is named twice; use a name for each file"


def write_new(place: Path, text: str) -> None:
    """Write a file that is not there yet."""
    must_be_new({"": place})
    write_whole(place, text.encode())
    note_written(str(place))
