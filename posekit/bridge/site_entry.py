"""A prop as a site serves it: an entry of props/index.json, a picture for the time before Python, and its folder."""

from __future__ import annotations

import hashlib
import io
import re
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass

from posekit.output import gltf
from posekit.pipeline import rest
from posekit.prop.folder import PROP_FILE
from posekit.prop.model import Prop

FOLDER = "props/"
INDEX = f"{FOLDER}index.json"

# The oldest date that a zip can hold: the same prop makes the same bytes, and so the same name.
ZIP_EPOCH = (1980, 1, 1, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class SiteEntry:
    """One entry of props/index.json: name of the folder, title, addresses of the two files, names of the links.

    `place` stands for where the builder has the prop on disk; it is empty for one that belongs to the page.
    """

    name: str
    title: str
    picture: str
    folder: str
    links: tuple[str, ...]
    place: str = ""


def site_entry(name: str, prop: Prop, place: str = "") -> tuple[SiteEntry, Mapping[str, bytes]]:
    """The entry of a prop, and its two files by address. Their names change with what they hold."""
    picture, folder = gltf.picture(prop, rest(prop)), zipped(name, prop)
    at_picture, at_folder = _address(name, picture, "glb"), _address(name, folder, "zip")
    entry = SiteEntry(name, prop.name, at_picture, at_folder, tuple(link.name for link in prop.links), place)
    return entry, {at_picture: picture, at_folder: folder}


def zipped(name: str, prop: Prop) -> bytes:
    """The folder of a prop as a zip, not compressed inside.

    A server that compresses what it sends halves its meshes on their way, better together than one by one; from any
    other it comes as large as it is.
    """
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for path, content in {PROP_FILE: prop.text.encode(), **prop.files}.items():
            archive.writestr(zipfile.ZipInfo(f"{name}/{path}", ZIP_EPOCH), content)
    return out.getvalue()


def _address(name: str, content: bytes, ending: str) -> str:
    # Any folder can be shown, so its name may have letters that the path of a file must not have.
    plain = re.sub(r"[^A-Za-z0-9_-]+", "-", name).strip("-") or "prop"
    return f"{FOLDER}{plain}-{hashlib.sha256(content).hexdigest()[:10]}.{ending}"
