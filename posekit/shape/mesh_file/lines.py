"""The lines of a mesh file that is text, each with its number and no longer than a budget."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO

from posekit.budgets import LINE_BYTES, LINES_OF_TRIANGLE, MESH_TRIANGLES


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
    try:
        x, y, z = map(float, words)
    except ValueError as reason:
        found = b" ".join(words).decode("utf-8", "replace")
        raise ValueError(f"line {number}: '{found}' are not three numbers; export it again") from reason
    return x, y, z
