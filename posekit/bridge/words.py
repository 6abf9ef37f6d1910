"""Places of the prop file in words: `neck_base: pulse at 0` in the page, `drives.neck_base.pulse.low` in the file."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from posekit.errors import Finding
from posekit.toml.places import Path, parse

# Keys whose own name says too little to somebody who has not the file before them.
_SAID = {
    ("pulse", "low"): "pulse at 0",
    ("pulse", "high"): "pulse at full",
    ("pulse", "trim"): "trim",
    ("rest",): "rest (home)",
    ("bits",): "bits of its value",
    ("child",): "part that moves",
    ("parent",): "part that carries it",
}
# What is asked on the command line, as the page has it.
ASKED = {
    "`posekit envelope`": "'Check every pair' (Clearance)",
    "`posekit fit`": "'Measure a servo' (Bench)",
    "`posekit move`": "a show (Motion)",
}
_TABLES = {"drives": "", "joints": "joint ", "links": "part ", "servos": "servo ", "supplies": "supply "}


def label(keys: Sequence[str | int]) -> str:
    """What a key of a drive, servo, joint or part is called, by its place below that: `("pulse", "low")`."""
    match tuple(keys):
        case ("shapes", int(number), *rest):
            return ": ".join([f"shape {number + 1}", *([label(rest)] if rest else [])])
    said = _SAID.get(tuple(str(key) for key in keys))
    return said or " ".join(f"{key + 1}" if isinstance(key, int) else key.replace("_", " ") for key in keys)


def doc(text: str) -> str:
    """What a key means, in the words of the page, which calls a link a part."""
    return re.sub(r"\blink(s?)\b", r"part\1", text)


def place(subject: str) -> str:
    """The subject of a finding in words; a subject that is no key of the prop file stays as it is."""
    match parse(subject):
        case (str(table), str(name), *keys) if table in _TABLES:
            return ": ".join([f"{_TABLES[table]}{name}", *([label(keys)] if keys else [])])
        case ("supply" | "clearance" | "receiver" as table, *keys) if keys:
            return f"{table}: {label(keys)}"
    return subject


def text(finding: Finding) -> str:
    """A finding as one line, safe to show: its line of the file, its place in words, its sentence."""
    return asked(str(replace(finding, subject=place(finding.subject))))


def asked(sentence: str) -> str:
    """A sentence that sends to a command, sending to what the page has in its place."""
    for command, panel in ASKED.items():
        sentence = sentence.replace(command, panel)
    return sentence


def anew(path: Path) -> str:
    """What to do about a key that was taken out."""
    return "set new ones" if path[-1] == "stops" else "set a new one"
