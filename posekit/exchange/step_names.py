"""Which part of a STEP file is which, where the reader of its surfaces tells of products and not of their places.

ISO 10303-44: a NEXT_ASSEMBLY_USAGE_OCCURRENCE puts one product definition into another, and has the name of that
place. A solid that is used six times has one product and six places.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from posekit.budgets import MESH_NODES

Names = tuple[str, ...]

_TEXT = rb"(?:'((?:[^']|'')*)'|\$)"
_NEXT = rb"\s*,\s*"
_BEGIN = rb"#(\d+)\s*=\s*"
_PLACE = re.compile(
    rb"NEXT_ASSEMBLY_USAGE_OCCURRENCE\s*\(\s*" + _NEXT.join([_TEXT, _TEXT, _TEXT, rb"#(\d+)", rb"#(\d+)"])
)
_DEFINITION = re.compile(
    _BEGIN + rb"PRODUCT_DEFINITION\s*\(\s*" + _NEXT.join([_TEXT, _TEXT, rb"#(\d+)"]), re.DOTALL
)
_FORMATION = re.compile(
    _BEGIN + rb"PRODUCT_DEFINITION_FORMATION\w*\s*\(\s*" + _NEXT.join([_TEXT, _TEXT, rb"#(\d+)"])
)
_PRODUCT = re.compile(_BEGIN + rb"PRODUCT\s*\(\s*" + _NEXT.join([_TEXT, _TEXT]))
_WIDE = re.compile(r"\\X2\\((?:[0-9A-Fa-f]{4})*)\\X0\\")  # 6.4.3 of ISO 10303-21: letters beyond ASCII
_LATIN = re.compile(r"\\X\\([0-9A-Fa-f]{2})")


def places(content: bytes) -> list[Names]:
    """The names from the whole down to each part, in the order of the file; none where it is no assembly.

    What stands in itself, and more than a GLB may have, gives none.
    """
    inside: dict[bytes, list[tuple[str, bytes]]] = {}
    for identity, name, words, whole, part in _PLACE.findall(content):
        # As Open CASCADE chooses: what describes the place, else its name, else its number.
        inside.setdefault(whole, []).append((_read(words) or _read(name) or _read(identity), part))
    named = _products(content) if inside else {}
    parts = {part for placed in inside.values() for _, part in placed}
    found: list[Names] = []
    steps = 0
    for whole in inside:
        if whole not in parts:
            for names in _below(whole, (named.get(whole, ""),), inside):
                found += [] if names is None else [names]
                if (steps := steps + 1) > MESH_NODES:
                    return []
    return found


def named_places(paths: Sequence[Names], content: bytes) -> list[tuple[str, Names]]:
    """What tells the part of each solid from others, and the names down to it.

    `paths` are those of solids as the page gives them: the last name is the number of the product's node, those before
    are the names down to it. Where there are as many places as solids each has its own; else the solids of one node
    are one part.
    """
    found = places(content)
    if len(found) == len(paths):
        return [(f"place {number}", names) for number, names in enumerate(found)]
    return [(f"node {path[-1]}", path[:-1]) for path in paths]


def _below(
    whole: bytes, above: Names, inside: dict[bytes, list[tuple[str, bytes]]]
) -> Iterator[Names | None]:
    """The names down to each part, in their order; None for each step through an assembly."""
    waiting = [(whole, above, frozenset([whole]))]
    # Ends: no product stands in itself on any way down, and whoever asks stops at MESH_NODES.
    while waiting:
        definition, names, way = waiting.pop()
        if definition not in inside:
            yield names
            continue
        yield None
        below = [(part, (*names, name), way | {part}) for name, part in inside[definition] if part not in way]
        waiting += below[::-1]


def _products(content: bytes) -> dict[bytes, str]:
    """The name of the product of each definition."""
    product = {number: _read(name) or _read(identity) for number, identity, name in _PRODUCT.findall(content)}
    formation = {number: product.get(of, "") for number, _, _, of in _FORMATION.findall(content)}
    return {number: formation.get(of, "") for number, _, _, of in _DEFINITION.findall(content)}


def _read(text: bytes) -> str:
    """A text of a STEP file: its quotes are doubled, and letters beyond ASCII are written as numbers."""
    plain = text.replace(b"''", b"'").decode("latin-1")
    plain = _WIDE.sub(lambda found: bytes.fromhex(found[1]).decode("utf-16-be", "replace"), plain)
    return _LATIN.sub(lambda found: chr(int(found[1], 16)), plain).strip()
