"""What all acts of `posekit edit` share: the prop that is read, the difference that is shown, what is written."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import wraps
from typing import Any

import click

import posekit
from posekit.cli.files import changed_files, note_written, write_prop, written_into
from posekit.cli.options import json_option
from posekit.cli.printing import finish, print_findings, print_json, say
from posekit.errors import Finding, PosekitError, error
from posekit.prop.beside import all_files
from posekit.prop.difference import FileDifference, differences
from posekit.prop.model import Prop
from posekit.prop.reader import prop_path
from posekit.prop.writer import must_be_new, save_new
from posekit.report.check import quick_check

Act = Callable[..., tuple[Prop, Sequence[Finding]]]


def act(edit: Act) -> Callable[..., None]:
    """A command made of a function that takes a prop and what was typed, and gives the next prop and findings."""

    @click.option("--write", is_flag=True, help="Write the changed files into MODEL.")
    @click.option("-o", "--output", metavar="FOLDER", help="Write the edited prop as a new folder.")
    @json_option
    @click.pass_context
    @wraps(edit)
    def command(
        context: click.Context, /, write: bool, output: str | None, as_json: bool, **typed: Any
    ) -> None:
        model: str = context.parent.params["model"] if context.parent else ""
        _must_be_writable(model, write, output)
        prop = posekit.load(model)
        edited, told = edit(prop, **typed)
        changed = differences(all_files(prop), changed_files(prop, edited))
        written = _written(prop, edited, model, write, output)
        findings = [*told, *_new_findings(prop, edited, written)]
        if as_json:
            files = {each.path: "\n".join(_lines(each)) for each in changed}
            print_json(
                {
                    "prop": edited.name,
                    "written": written,
                    "changed": files,
                    "findings": [finding.as_dict() for finding in findings],
                }
            )
        else:
            _print(changed, findings, written)
        finish(findings)

    return command


def _must_be_writable(model: str, write: bool, output: str | None) -> None:
    """Refuse, before any work, what could not be written at its end."""
    if write and output:
        raise PosekitError([error("wrong-use", "--write", "and -o are two places; give one of them")])
    if write:
        written_into(model)
    if output:
        must_be_new(output)


def _new_findings(old: Prop, new: Prop, written: str | None) -> list[Finding]:
    """What a check without meshes tells of the new prop and did not tell of the old one.

    With its file, where that was written; else the lines are those of the difference that is shown.
    """
    before = {(finding.subject, finding.message) for finding in quick_check(old)}
    file = None if written is None else str(prop_path(written))
    return [each for each in quick_check(new, file) if (each.subject, each.message) not in before]


def _written(old: Prop, new: Prop, model: str, write: bool, output: str | None) -> str | None:
    """The folder that was written; None if none was."""
    if output:
        save_new(new, output)
        note_written(output)
        return output
    return str(write_prop(model, old, new).parent) if write else None


def _print(changed: Sequence[FileDifference], findings: Sequence[Finding], written: str | None) -> None:
    for each in changed:
        say(f"{each.path}: {each.kind}" + (f", {each.words}" if each.words else ""))
        for line in _lines(each):
            say(line)
    if not changed:
        say("Nothing changes: the prop is so already.")
    elif written:
        say(f"Written to {written}.")
    else:
        say("Not written: look it over, then add --write, or -o FOLDER for a copy.")
    if findings:
        print_findings(findings)


def _lines(each: FileDifference) -> list[str]:
    """A difference as lines: the number in the old or new file, what becomes of the line, its text."""
    lines: list[str] = []
    for part in each.parts:
        lines += ["  ..."] if lines else []
        lines += [f"{line.number:>5} {line.mark} {line.text}".rstrip() for line in part]
    return lines
