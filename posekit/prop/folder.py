"""The folder of a prop: its file, and the folders beside it whose files belong to it."""

from __future__ import annotations

from collections.abc import Iterable

from posekit.errors import PosekitError, error

PROP_FILE = "prop.toml"
MESHES, LOOKS, SHOWS = "meshes/", "looks/", "shows/"


def in_folder(paths: Iterable[str], folder: str) -> dict[str, str]:
    """Those of the paths that lie in one of these folders, by name: without the folder and the ending."""
    return {_name(path.removeprefix(folder)): path for path in paths if path.startswith(folder)}


def place_in(folder: str, name: str, ending: str) -> str:
    """The path of a new file of that name. Raises PosekitError for what cannot be the name of a file."""
    if not name.strip() or any(sign in name for sign in "/\\:"):
        raise PosekitError(
            [error("bad-name", name, f"is no name for a file of {folder}; use one without / \\ :")]
        )
    return f"{folder}{name.strip()}{ending}"


def _name(file: str) -> str:
    stem, dot, _ = file.rpartition(".")
    return stem if dot else file
