"""The page with props of the builder's as files for any web host: relative addresses, right below any path.

What of a prop goes along is what the page can open: its prop file to the letter, its meshes, looks and shows. Whoever
reaches the site can read all of that. A director's notes go along where that is asked for. Originals and whatever else
lies in its folder stay where they are.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import posekit
from posekit.bridge.site_entry import FOLDER, INDEX, site_entry
from posekit.budgets import FOLDER_BYTES
from posekit.errors import PosekitError, error
from posekit.paths import files_inside, read_within
from posekit.prop.beside import without_file
from posekit.prop.folder import NOTES_FILE, PROP_FILE
from posekit.prop.reader import prop_path
from posekit.serve.followed import shown_name
from posekit.serve.hosting import HOSTING, MISSING, NOTHING_HERE, hosting
from posekit.serve.site import PAGE, must_have_page
from posekit.serve.smaller import BESIDE, GZIP, gzipped
from posekit.serve.still import MARKUP, markup_for

OFFLINE = "offline.json"
NOT_OFFLINE = ("service-worker.js",)  # which the browser keeps by itself
STAMP = "made-from.txt"  # of the build, of no use to a visitor
# What few visits need: the service worker keeps it from when it is used. As web/runtime/offline.mjs leaves it out.
LATER = re.compile(r"assets/occt-import-js-")
VERSION_LETTERS = 12


@dataclass(frozen=True, slots=True)
class Carried:
    """A prop that a site carries: its name there, its title, where it came from, and the files that are given away."""

    name: str
    title: str
    model: str
    files: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StaticSite:
    """The files of a site by their paths, and the props among them."""

    files: Mapping[str, bytes]
    props: tuple[Carried, ...]


def static_site(models: Sequence[str], page: Path = PAGE, *, notes: bool = False) -> StaticSite:
    """A site with these props, in this order, each under a name of its own, and none of posekit's; with their `notes`.

    Raises PosekitError for a model that cannot be read, for none at all, and where the page was left out.
    """
    must_have_page(page)
    if not models:
        raise PosekitError([error("wrong-use", "MODEL", "names no prop; a site is made of one or more")])
    files = _files_of(page)
    listed: list[dict[str, Any]] = []
    props: list[Carried] = []
    for model, name in zip(models, _names(models), strict=True):
        prop = posekit.load(model)
        if not notes and NOTES_FILE in prop.files:
            prop = without_file(prop, NOTES_FILE)
        if not listed:
            files[MARKUP] = markup_for(page, prop)
        entry, its = site_entry(name, prop)
        files |= its
        listed.append(asdict(entry))
        props.append(Carried(name, prop.name, model, (PROP_FILE, *prop.files)))
    files[INDEX] = json.dumps(listed).encode()
    files[OFFLINE] = _offline(files)
    files |= _smaller(files)
    files |= {HOSTING: hosting().encode(), MISSING: NOTHING_HERE.encode()}
    return StaticSite(files, tuple(props))


def _files_of(page: Path) -> dict[str, bytes]:
    """The built page without the demo props and what is made anew."""
    own = {
        path: place
        for path, place in files_inside(page, [""])
        if not path.startswith(FOLDER) and path not in (OFFLINE, STAMP)
    }
    return {path: read_within(place, FOLDER_BYTES) for path, place in own.items()}


def _names(models: Iterable[str]) -> list[str]:
    """A name for each; where two props have the same, the later one gets a number."""
    names: list[str] = []
    for model in models:
        own = shown_name(prop_path(Path(model).resolve()))
        numbered = (own if count == 1 else f"{own}-{count}" for count in range(1, len(names) + 2))
        names.append(next(name for name in numbered if name not in names))
    return names


def _smaller(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """By gzip, beside each file, for hosts that send what they find so; in brotli the build laid them there."""
    plain = {path: content for path, content in files.items() if not path.endswith(BESIDE)}
    made = ((path + GZIP, gzipped(content)) for path, content in plain.items())
    return {path: content for path, content in made if content is not None}


def _offline(files: Mapping[str, bytes]) -> bytes:
    """The list by which the service worker keeps a whole version of the page, as web/runtime/offline.mjs makes it."""
    kept = sorted(
        path
        for path in files
        if path not in NOT_OFFLINE and not LATER.match(path) and not path.endswith(BESIDE)
    )
    version = hashlib.sha256()
    for path in kept:
        version.update(path.encode() + files[path])
    # The address of the page itself is that of its folder.
    addresses = ["./" if path == "index.html" else path for path in kept]
    return json.dumps({"version": version.hexdigest()[:VERSION_LETTERS], "files": addresses}).encode()
