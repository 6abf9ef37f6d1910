"""The director's file on the command line: what of a prop goes into it, and what draws it."""

from __future__ import annotations

from pathlib import Path

import posekit
from posekit.budgets import MIB
from posekit.cli.files import given_snapshot
from posekit.errors import PosekitError, error
from posekit.output.one_file import Drawing
from posekit.paths import read_within
from posekit.prop.folder import LOOKS, SHOWS, in_folder
from posekit.report.director import Shown, shown

FOLDER = Path(posekit.__file__).parent / "page" / "director"
MOST = 4 * MIB  # of one file of the build, which we made


def given_shown(prop: posekit.Prop, given: tuple[str, ...]) -> Shown:
    """Looks and shows of the prop by name, and whatever else is a snapshot; all of them where nothing is given."""
    if not given:
        return shown(prop)
    own = {*in_folder(prop.files, LOOKS), *in_folder(prop.files, SHOWS)}
    kept = shown(prop, [each for each in given if each in own])
    others = tuple((Path(each).stem, given_snapshot(prop, each)) for each in given if each not in own)
    return Shown((*kept.looks, *others), kept.shows)


def drawing() -> Drawing:
    """What draws the file, from the page that came with posekit. Raises PosekitError where that was left out."""
    if not FOLDER.is_dir():
        sentence = "needs the page, which was left out when posekit was installed; "
        sentence += "install it again without POSEKIT_PAGE=skip"
        raise PosekitError([error("no-page", "--html", sentence)])
    texts = (
        read_within(FOLDER / name, MOST).decode() for name in ("figure.js", "figure.css", "licences.txt")
    )
    return Drawing(*texts)
