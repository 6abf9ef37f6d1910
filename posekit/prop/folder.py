"""The folder of a prop: its file, and the folders beside it whose files belong to it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from posekit.errors import PosekitError, error

PROP_FILE = "prop.toml"
NOTES_FILE = "notes.json"  # what a director noted of the prop, and what became of it
MESHES, LOOKS, SHOWS = "meshes/", "looks/", "shows/"
ORIGINALS = "originals/"  # kept beside a prop and no part of it: whole meshes of which its own are thinner


def belongs(path: str) -> bool:
    """Whether a file of this path is read with the prop: its own two, or what is not hidden in one of its folders."""
    hidden = any(part.startswith(".") for part in path.split("/"))
    return path in (PROP_FILE, NOTES_FILE) or (path.startswith((MESHES, LOOKS, SHOWS)) and not hidden)


def in_folder(paths: Iterable[str], folder: str) -> dict[str, str]:
    """Those of the paths that lie in one of these folders, by name: without the folder and the ending.

    A file keeps its ending where its name would be that of another file, too.
    """
    files = {path.removeprefix(folder): path for path in paths if path.startswith(folder)}
    count = Counter([*map(_stem, files), *files])
    return {_stem(file) if count[_stem(file)] == 1 else file: path for file, path in files.items()}


def place_in(folder: str, name: str, ending: str) -> str:
    """The path of a new file of that name. Raises PosekitError for what cannot be the name of a file."""
    if not name.strip() or name.strip().startswith(".") or any(sign in name for sign in "/\\:"):
        sentence = (
            f"cannot be the name of a file in {folder}; use one without / \\ : that does not start with a dot"
        )
        raise PosekitError([error("bad-name", name, sentence)])
    return f"{folder}{name.strip()}{ending}"


def _stem(file: str) -> str:
    stem, dot, _ = file.rpartition(".")
    return stem if dot else file
