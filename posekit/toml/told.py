"""What is told of a TOML file, each finding with the line of its key."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from posekit.errors import Finding, error
from posekit.toml.lines import line_of, lines_of_keys
from posekit.toml.places import Path, dotted, parse


def placed(found: list[tuple[Path, str, str]], text: str, name: str) -> list[Finding]:
    """Problems (key path, code, sentence) as errors of the file `name`, in the order of its lines."""
    lines = lines_of_keys(text)
    findings = [
        error(code, dotted(path), sentence, file=name, line=line_of(path, lines))
        for path, code, sentence in found
    ]
    return sorted(findings, key=lambda finding: finding.line or 0)


def in_file(findings: Iterable[Finding], text: str, file: str | None) -> list[Finding]:
    """Findings whose subjects are key paths, with the lines on which these stand in the text of the file.

    A finding that names another file keeps it.
    """
    given = list(findings)
    lines = lines_of_keys(text) if given else {}
    return [
        finding
        if finding.file is not None
        else replace(finding, file=file, line=line_of(parse(finding.subject), lines))
        for finding in given
    ]
