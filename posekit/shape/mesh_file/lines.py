"""The lines of a mesh file that is text, each with its number and no longer than a budget."""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO
from math import isfinite

from posekit.budgets import DIGITS, LINE_BYTES, LINES_OF_TRIANGLE, MESH_TRIANGLES, VALUE_LETTERS
from posekit.text import printable

# As `decimal` of posekit/text.py, three at once, as there may be a million: float alone takes 1_000, inf and nan.
_ONE = rb"(?=\S{1,%d}(?: |$))[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?" % DIGITS
_THREE = re.compile(rb" ".join([_ONE] * 3))
_VERTEX = re.compile(rb"[+-]?[0-9]{1,%d}" % DIGITS)


def lines_of(
    content: bytes, continued: bytes = b"", most: int = MESH_TRIANGLES
) -> Iterator[tuple[int, list[bytes]]]:
    """Number and words of each line that has words; one that ends in `continued` goes on in the next, but no comment:
    a folder of Windows ends so, and the line behind it counts.

    Raises ValueError, as `triangles_in` does, for a line of more than LINE_BYTES and for more of them than `most`
    triangles need.
    """
    lines = LINES_OF_TRIANGLE * most
    if (count := content.count(b"\n") + content.count(b"\r")) > 2 * lines:
        raise ValueError(f"has {count} lines; use {lines} or fewer")
    file = BytesIO(content.replace(b"\r\n", b"\n") if b"\r\n" in content else content.replace(b"\r", b"\n"))
    number = 0
    before = b""
    for line in iter(lambda: file.readline(LINE_BYTES + 1), b""):
        number += 1
        whole = before + line
        if len(whole) > LINE_BYTES:
            raise ValueError(f"has a line {number} of more than {LINE_BYTES} bytes; is it a mesh file?")
        stripped = whole.rstrip()
        if continued and stripped.endswith(continued) and not stripped.lstrip().startswith(b"#"):
            before = stripped[: -len(continued)] + b" "
            continue
        before = b""
        if words := stripped.split():
            yield number, words
    if words := before.split():
        yield number, words


def numbers(words: list[bytes], number: int) -> tuple[float, float, float]:
    """The three coordinates that a line gives. Raises ValueError, as `triangles_in` does, for any other words."""
    if _THREE.fullmatch(found := b" ".join(words)):
        x, y, z = map(float, words)
        if isfinite(x) and isfinite(y) and isfinite(z):
            return x, y, z
    said = printable(found.decode("utf-8", "replace"), VALUE_LETTERS)
    raise ValueError(f"line {number}: '{said}' are not three numbers; export it again")


def vertex(word: bytes) -> int | None:
    """The number of the vertex in `vertex/texture/normal`; None where there is none."""
    first = word.partition(b"/")[0]
    return int(first) if _VERTEX.fullmatch(first) else None
