"""Files of cues, in TOML.

    format = 1
    name = "Waking up"
    rate = 44                              # frames a second; 1 or more, at most what E1.11 allows
    [[cues]]
    name = "alert"
    look = "looks/alert.csv"               # a file beside the prop, or
    # values = {neck_pitch = 200}          # values of drives by name, or
    # text = "1/9@128, 1/10@50%"           # typed slots
    fade = 2.0                             # s, linear in the values
    hold = 1.0                             # s

A cue has exactly one of look, values and text.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import PurePosixPath
from typing import Any

from posekit.budgets import CUES
from posekit.errors import Finding, PosekitError, error
from posekit.prop.model import Prop
from posekit.stream.cues import RATE, Cue, CueList, render
from posekit.stream.e111 import LEAST_RATE
from posekit.stream.show import Show
from posekit.textfile import decoded
from posekit.toml.lines import line_of, lines_of_keys
from posekit.toml.places import Path
from posekit.toml.places import parse as path_of
from posekit.toml.reading import tables
from posekit.toml.structure import ABSENT, Problems, as_found, build, convert, tell_unknown
from posekit.toml.told import placed

FORMAT = 1


def read(prop: Prop, content: bytes, name: str) -> Show:
    """The show of the cues in a TOML file. PosekitError with every problem of the file at once."""
    cue_list, lines = parse(content, name)
    try:
        return render(prop, cue_list)
    except PosekitError as refused:
        raise PosekitError([_placed(finding, name, lines) for finding in refused.findings]) from None


def parse(content: bytes, name: str) -> tuple[CueList, dict[Path, int]]:
    """The cues in a TOML file, and the line of each key. PosekitError with every problem at once."""
    text = decoded(content, name)
    data = tables(text, name)
    lines = lines_of_keys(text)
    problems = Problems()
    cue_list = _cue_list(data, name, problems)
    if problems.found:
        raise PosekitError(placed(problems.found, text, name))
    return cue_list, lines


def _cue_list(data: Mapping[str, Any], name: str, problems: Problems) -> Any:
    tell_unknown(data, ("format", "name", "rate", "cues"), (), problems)
    if data.get("format") != FORMAT or isinstance(data.get("format"), bool):
        problems.tell(
            ("format",), "wrong-format", f"= {as_found(data.get('format', 'missing'))}: use {FORMAT}"
        )
    title = convert(str, data.get("name", PurePosixPath(name).stem), ("name",), problems, {})
    rate = convert(float, data.get("rate", RATE), ("rate",), problems, {"least": LEAST_RATE, "unit": "Hz"})
    tables = data.get("cues", [])
    if not isinstance(tables, list):
        return problems.tell(("cues",), "wrong-type", f"= {as_found(tables)}: [[cues]] is needed")
    if len(tables) > CUES:
        sentence = f"holds {len(tables)} cues; a list has {CUES} at most: make several shows of it"
        return problems.tell(("cues",), "too-many-cues", sentence)
    cues = tuple(_cue(table, ("cues", i), problems) for i, table in enumerate(tables))
    return ABSENT if problems.found else CueList(name=title, cues=cues, rate=rate)


def _cue(table: Any, path: Path, problems: Problems) -> Any:
    if not isinstance(table, Mapping):
        return problems.tell(path, "wrong-type", f"= {as_found(table)}: a table is needed")
    given = [way for way in ("look", "text", "values") if way in table]
    if len(given) != 1:
        found = " and ".join(given) or "none of them"
        return problems.tell(
            path, "wrong-cue", f"a cue has exactly one of look, text and values; found {found}"
        )
    wanted = table.get("values", {})
    if not isinstance(wanted, Mapping):
        return problems.tell(
            (*path, "values"), "wrong-type", f"= {as_found(wanted)}: {{drive = value}} is needed"
        )
    values = {
        drive: convert(int, value, (*path, "values", drive), problems, {}) for drive, value in wanted.items()
    }
    rest = {name: entry for name, entry in table.items() if name != "values"}
    return build(Cue, rest, path, problems, values=values)


def _placed(finding: Finding, name: str, lines: dict[Path, int]) -> Finding:
    if finding.file is not None:
        return finding
    line = line_of(path_of(finding.subject), lines)
    return error(finding.code, finding.subject, finding.message, file=name, line=line)
