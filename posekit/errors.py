"""Findings, the one way posekit tells a builder something, and the error that carries them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from os import PathLike
from typing import Literal

Level = Literal["error", "warning", "note"]
LEVELS: tuple[Level, ...] = ("error", "warning", "note")


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing posekit has to tell.

    `code` is stable and meant for machines; `subject` is a key path of the prop file
    (`drives.jaw.pulse.low`) or the name of a drive, joint or link; `message` is a sentence
    that says what was found and what would be right.
    """

    level: Level
    code: str
    subject: str
    message: str
    file: str | None = None
    line: int | None = None

    def __str__(self) -> str:
        place = self.file or ""
        if self.line is not None:
            place += f":{self.line}"
        return ": ".join(part for part in (place, f"{self.subject}{self._join()}{self.message}") if part)

    def _join(self) -> str:
        # A message that starts with the value found reads on from its key: `drives.jaw.pulse.low = 400: ...`
        if not self.subject:
            return ""
        return " " if self.message.startswith("=") else ": "

    def as_dict(self) -> dict[str, str]:
        """The finding as the command line and the page print it."""
        return {"level": self.level, "code": self.code, "subject": self.subject, "message": self.message}


class PosekitError(Exception):
    """Input that posekit cannot use. `findings` holds every reason at once, never only the first."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings: tuple[Finding, ...] = tuple(findings)
        super().__init__("\n".join(str(finding) for finding in self.findings))


def error(
    code: str, subject: str, message: str, *, file: str | None = None, line: int | None = None
) -> Finding:
    """A finding of level `error`."""
    return Finding("error", code, subject, message, file, line)


def unreadable(file: str | PathLike[str], problem: OSError | ValueError, right: str = "") -> PosekitError:
    """The error for a file that cannot be read, by what the system says; `right` is what to do instead.

    A ValueError comes from a name that no file can have.
    """
    place = getattr(problem, "filename", None) or file
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
