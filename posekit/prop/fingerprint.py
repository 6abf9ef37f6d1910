"""The fingerprint of a prop: one short name for its files, by which a paper or a file of old is known as old."""

from __future__ import annotations

import hashlib

from posekit.prop.beside import all_files
from posekit.prop.folder import NOTES_FILE
from posekit.prop.model import Prop

GROUP, GROUPS = (
    4,
    3,
)  # twelve letters tell some million states of one prop apart, and can be read out on a telephone


def fingerprint(prop: Prop) -> str:
    """The digest of all files of a prop, path and content: 64 hexadecimal digits (SHA-256, FIPS 180-4).

    The notes are left out: what is said of a figure makes no other figure of it. Each part goes in after its length, so
    that no letter can wander from one file to the next and keep the name.
    """
    content = hashlib.sha256()
    for path, data in sorted(all_files(prop).items()):
        if path == NOTES_FILE:
            continue
        for part in (path.encode(), data):
            content.update(len(part).to_bytes(8, "big"))
            content.update(part)
    return content.hexdigest()


def for_people(digest: str) -> str:
    """A fingerprint as it is printed and read out: its first digits, in groups."""
    return " ".join(digest[i : i + GROUP] for i in range(0, GROUP * GROUPS, GROUP))
