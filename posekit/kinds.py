"""The kinds of files, by their endings: one list for every door, the page's too."""

from __future__ import annotations

SNAPSHOTS = (".csv", ".json", ".bin", ".txt")
CUES = ".toml"
RECORDINGS = ".csv"
CAPTURES = (".pcap", ".pcapng", ".cap")
SHOWS = (CUES, RECORDINGS, *CAPTURES)
MESHES = (".stl", ".obj", ".ply", ".glb")
COLOURS = (".mtl",)  # what an OBJ names for its colours; comes beside it
STEPS = (".step", ".stp")
ASSEMBLIES = (*STEPS, ".urdf", ".xacro")  # a whole figure in one file; xacro is refused with what to do
PROPS = (".toml", ".zip", ".glb")
NOTES = (
    ".json",
    ".txt",
    ".eml",
    ".md",
)  # a director's, taken out as a file, or the message in which they came


def ending(name: str) -> str:
    """The ending of a file's name in small letters, with its dot; empty where there is none."""
    stem, dot, last = name.replace("\\", "/").rpartition("/")[2].rpartition(".")
    return f".{last.lower()}" if dot and stem else ""
