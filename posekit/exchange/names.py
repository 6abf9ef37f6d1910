"""Names for parts, out of names of others: short, telling and each once."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Sequence

from posekit.budgets import NAME_LETTERS

# What CAD kernels write where the drawing gives no name: a label of theirs, or the kind of body.
_TELLS_NOTHING = re.compile(r"|=>\[[\d:]*\]|(solid|compound|shell|body|node|mesh)[ _.-]*\d*", re.IGNORECASE)


def plain_name(found: str) -> str:
    """A name of letters, digits, - and _ as near to the one found as may be; empty where nothing is left."""
    whole = unicodedata.normalize("NFC", found.strip())  # some systems write an ö as an o and two dots
    return re.sub(r"[^\w-]+", "_", whole).strip("_")[: NAME_LETTERS - 10]


def unique(wanted: Iterable[str]) -> list[str]:
    """The names, `_2`, `_3` and so on behind those that came before; no two differ by capital letters alone."""
    # By capital letters they would be one mesh file on many systems.
    taken: set[str] = set()
    told: list[str] = []
    count: Counter[str] = Counter()
    for name in wanted:
        count[name.casefold()] += 1
        new = name if count[name.casefold()] == 1 else f"{name}_{count[name.casefold()]}"
        # Ends: each step takes a number that was not tried, and only finitely many names are taken.
        while new.casefold() in taken:
            count[name.casefold()] += 1
            new = f"{name}_{count[name.casefold()]}"
        taken.add(new.casefold())
        told.append(new)
    return told


def telling(paths: Sequence[Sequence[str]]) -> list[str]:
    """A name for each path of names from the root of a tree down: the last one that tells something, with as many of
    those above it as it takes to tell it from the others; unique."""
    lines = [
        [plain_name(each) for each in path if not _TELLS_NOTHING.fullmatch(each.strip())] for path in paths
    ]
    lines = [[each for each in line if each] or ["part"] for line in lines]
    depth = max(map(len, lines), default=1)
    ends = [Counter("_".join(line[-some:]).casefold() for line in lines) for some in range(1, depth + 1)]
    names = []
    for line in lines:
        some = next(
            (some for some in range(1, depth + 1) if ends[some - 1]["_".join(line[-some:]).casefold()] == 1),
            1,
        )
        names.append("_".join(line[-some:])[-(NAME_LETTERS - 10) :])
    return unique(names)
