"""Findings, the one way posekit tells a builder something, and the error that carries them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from os import PathLike
from typing import Literal

from posekit.budgets import FINDINGS_TOLD
from posekit.text import printable, shortened

Level = Literal["error", "warning", "note"]
_QUOTED = re.compile(r"'[^']*'")
LEVELS: tuple[Level, ...] = ("error", "warning", "note")


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing posekit has to tell.

    `code` is stable and meant for machines; `subject` is a key path of the prop file
    (`drives.jaw.pulse.low`) or the name of a drive, joint or link; `message` is a sentence
    that says what was found and what would be right. Subject, message and file are words of others as they came, cut
    to `budgets.TOLD_LETTERS`; as a `str` the finding is one line that is safe to print.
    """

    level: Level
    code: str
    subject: str
    message: str
    file: str | None = None
    line: int | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "subject", shortened(self.subject))
        object.__setattr__(self, "message", shortened(self.message))
        object.__setattr__(self, "file", None if self.file is None else shortened(self.file))

    def __str__(self) -> str:
        """The whole of it: file and line, subject, sentence."""
        line = "" if self.line is None else f":{self.line}" if self.file else f"line {self.line}"
        place = f"{printable(self.file or '')}{line}"
        return f"{place}: {self.sentence}" if place else self.sentence

    @property
    def sentence(self) -> str:
        """Subject and message, read as one."""
        subject, message = printable(self.subject), printable(self.message)
        if not subject:
            return message
        # A message that starts with the value found reads on from its key: `drives.jaw.pulse.low = 400: ...`
        return f"{subject}{' ' if message.startswith('=') else ': '}{message}"

    @property
    def alone(self) -> str:
        """The message where its subject is in sight already, as beside the field of a form."""
        message = printable(self.message)
        return f"found{message[1:]}" if message.startswith("=") else message

    def as_dict(self) -> dict[str, str]:
        """The finding as the command line and the page print it."""
        return {"level": self.level, "code": self.code, "subject": self.subject, "message": self.message}


class PosekitError(Exception):
    """Input that posekit cannot use. `findings` holds every reason at once, up to `budgets.FINDINGS_TOLD` of them."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings: tuple[Finding, ...] = bounded(findings)
        super().__init__("\n".join(str(finding) for finding in self.findings))


def bounded(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """As many findings as a person can use, the gravest of them, and how many more there are."""
    found = tuple(findings)
    if len(found) <= FINDINGS_TOLD + 1:  # what is bounded already stays as it is
        return found
    gravest = sorted(found, key=lambda finding: LEVELS.index(finding.level))
    return _with_more(gravest, len(found))


def _with_more(found: Sequence[Finding], count: int) -> tuple[Finding, ...]:
    """The first of `count` findings, and how many more there are, as grave as the next."""
    told, left = found[:FINDINGS_TOLD], count - FINDINGS_TOLD
    sentence = f"and {left} more findings; fix these first"
    return (*told, Finding(found[FINDINGS_TOLD].level, "more", "", sentence))


class Faults:
    """What is wrong with the rows of a file: as many findings as `bounded` tells; of those after them the number.

    A megabyte of rubbish has half a million, of which nobody reads more than that, and to make them takes seconds.
    """

    def __init__(self, file: str) -> None:
        self._file = file
        self._first: list[Finding] = []
        self._count = 0

    def add(self, code: str, row: str, sentence: str, line: int | None = None) -> None:
        """One more."""
        self._count += 1
        if self._count <= FINDINGS_TOLD + 1:
            self._first.append(error(code, row, sentence, file=self._file, line=line))

    def refuse(self) -> None:
        """PosekitError with them, where there are any."""
        if self._count:
            raise PosekitError(
                self._first if self._count == len(self._first) else _with_more(self._first, self._count)
            )


def alike(findings: Iterable[Finding]) -> list[tuple[Finding, tuple[str, ...]]]:
    """Findings in their order; of notes that say the same, the first, with the subjects of the others.

    They say the same if their code and message are the same but for names in quotes: never where a number differs.
    """
    kinds: dict[object, tuple[Finding, list[str]]] = {}
    for finding in findings:
        kind = kind_of(finding) or id(finding)
        if kind in kinds:
            kinds[kind][1].append(finding.subject)
        else:
            kinds[kind] = finding, []
    return [(first, tuple(others)) for first, others in kinds.values()]


def kind_of(finding: Finding) -> str:
    """What is the same of notes that are `alike`; empty for a finding that is told by itself."""
    if finding.level != "note" or not finding.subject:
        return ""
    return f"{finding.code}: {_QUOTED.sub('', finding.message)}"


def error(
    code: str, subject: str, message: str, *, file: str | None = None, line: int | None = None
) -> Finding:
    """A finding of level `error`."""
    return Finding("error", code, subject, message, file, line)


def unreadable(file: str | PathLike[str], problem: OSError | ValueError, right: str = "") -> PosekitError:
    """The error for a file that cannot be read, by what the system says; `right` is what to do instead.

    A ValueError comes from a name that no file can have.
    """
    named = getattr(problem, "filename", None)
    place = named if isinstance(named, str | PathLike) else file
    reason = getattr(problem, "strerror", None) or problem
    sentence = f"cannot be read ({reason})" + (f"; {right}" if right else "")
    return PosekitError([error("unreadable", "", sentence, file=str(place))])


def warning(
    code: str, subject: str, message: str, *, file: str | None = None, line: int | None = None
) -> Finding:
    """A finding of level `warning`."""
    return Finding("warning", code, subject, message, file, line)


def note(
    code: str, subject: str, message: str, *, file: str | None = None, line: int | None = None
) -> Finding:
    """A finding of level `note`."""
    return Finding("note", code, subject, message, file, line)


def has_errors(findings: Iterable[Finding]) -> bool:
    """True if any finding is of level `error`."""
    return any(finding.level == "error" for finding in findings)
