"""MTL, the file of materials that an OBJ names: the plain colour of each (Kd), encoded as it is shown."""

from __future__ import annotations

from posekit.shape.mesh_file.lines import lines_of, numbers

Shares = tuple[float, float, float]


def read_mtl(content: bytes) -> dict[bytes, Shares]:
    """The shares of red, green and blue of each material that has them, by its name.

    Raises ValueError, a sentence that goes on after the name of the file, for a Kd that is no colour.
    """
    found: dict[bytes, Shares] = {}
    name = b""
    for number, words in lines_of(content):
        if words[0] == b"newmtl":
            name = b" ".join(words[1:])
        elif words[0] == b"Kd" and words[1:2] not in ([b"spectral"], [b"xyz"]):
            shares = words[1:] * 3 if len(words) == 2 else words[1:]  # one for all three
            found[name] = numbers(shares, number)
    return found
