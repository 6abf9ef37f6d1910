"""Files beside the prop file: kept, replaced only where that is asked for, and let go of."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from posekit.errors import PosekitError, error
from posekit.prop.folder import LOOKS, PROP_FILE, in_folder, place_in
from posekit.prop.model import Prop
from posekit.prop.reader import read


def all_files(prop: Prop) -> dict[str, bytes]:
    """All files of a prop, by path from its folder; the prop file first."""
    return {PROP_FILE: prop.text.encode(), **prop.files}


def with_file(prop: Prop, path: str, content: bytes, *, replace: bool = False) -> Prop:
    """The prop with a file beside it, by its path from the folder; in the place of another only if `replace`.

    Large and small letters are the same to some systems, so they are here. Raises PosekitError.
    """
    there = [other for other in prop.files if other.casefold() == path.casefold()]
    if not replace and any(prop.files[other] != content for other in there):
        raise _taken(path.rpartition("/")[2])
    return _in_the_place_of(prop, there, {path: content})


def with_look(prop: Prop, name: str, csv: str, *, replace: bool = False) -> Prop:
    """The prop with a look of that name, as looks/NAME.csv; in the place of another only if `replace`.

    Raises PosekitError for what cannot be the name of a file, and for one that is taken.
    """
    path = place_in(LOOKS, name, ".csv")
    called = _stem(path)
    looks = in_folder(prop.files, LOOKS)
    there = [other for look, other in looks.items() if called in (look.casefold(), _stem(other))]
    if there and not replace:
        raise _taken(name.strip())
    return _in_the_place_of(prop, there, {path: csv.encode()})


def without_file(prop: Prop, path: str) -> Prop:
    """The prop without a file beside it."""
    return _in_the_place_of(prop, [path], {})


def without_look(prop: Prop, name: str) -> Prop:
    """The prop without a look."""
    return without_file(prop, in_folder(prop.files, LOOKS).get(name, ""))


def _in_the_place_of(prop: Prop, gone: Iterable[str], new: Mapping[str, bytes]) -> Prop:
    left = set(gone)
    kept = {path: content for path, content in all_files(prop).items() if path not in left}
    return read({**kept, **new})


def _stem(path: str) -> str:
    """The name of a file of looks/ without its ending, in small letters: as a look is called."""
    return path.removeprefix(LOOKS).rpartition(".")[0].casefold()


def _taken(name: str) -> PosekitError:
    return PosekitError([error("name-taken", name, "already exists; replace it, or use another name")])
