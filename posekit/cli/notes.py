"""`posekit notes`: what a director noted of a prop, taken in, listed, ticked off and removed."""

from __future__ import annotations

from datetime import UTC, datetime

import click
from rich.text import Text

import posekit
from posekit.authoring.notes import Taken, reopen, take, tick, without_note
from posekit.budgets import NOTES_BYTES
from posekit.cli.files import write_prop, written_into
from posekit.cli.options import json_option, model_argument
from posekit.cli.printing import finish, print_findings, print_json, say, table
from posekit.paths import read_within
from posekit.prop.model import Prop
from posekit.prop.notes import newest, read_blocks
from posekit.report.notes import NotesReport, Standing, notes_report
from posekit.text import printable, printable_lines

KINDS = {"approved": "✓ approved", "change": "! change", "note": "· note"}
ID_DIGITS = 8  # shown of an id; a thousand notes hardly ever share as many


@click.command("notes")
@model_argument
@click.argument("files", metavar="[FILE ...]", nargs=-1)
@click.option(
    "--done", "ticked", metavar="ID", multiple=True, help="Tick off a note; some digits of its id will do."
)
@click.option("--reopen", "reopened", metavar="ID", multiple=True, help="Open a note again.")
@click.option("--remove", "removed", metavar="ID", multiple=True, help="Remove a note for good.")
@click.option("--answer", metavar="TEXT", help="With --done: what you say to it, which the next file shows.")
@json_option
def command(
    model: str,
    files: tuple[str, ...],
    ticked: tuple[str, ...],
    reopened: tuple[str, ...],
    removed: tuple[str, ...],
    answer: str | None,
    as_json: bool,
) -> None:
    """The director's notes of MODEL: take those in FILE in, list all, tick them off, remove them.

    FILE is what was taken out of the director's file, or the text of a message that it was pasted into. Notes are kept
    as notes.json in the folder of MODEL, and come along into the next file. The same note twice is one note.
    """
    if answer is not None and len(ticked) != 1:
        raise click.UsageError("--answer goes with one --done")
    if files or ticked or reopened or removed:
        written_into(model)
    read = posekit.load(model)
    came = [
        read_blocks(
            read_within(file, NOTES_BYTES, "a file of notes", "give what the director sent back, as a file"),
            file,
        )
        for file in files
    ]
    taken = take(read, [note for blocks in came for note in newest(blocks)], sum(map(len, came)))
    prop = _marked(taken.prop, ticked, reopened, removed, answer)
    if prop.files != read.files:
        write_prop(model, read, prop)
    report = notes_report(prop)
    if as_json:
        counts = {"new": taken.new, "amended": taken.amended, "again": taken.again, "older": taken.older}
        print_json(
            {**report.as_dict(), "taken": {how: [each.id for each in notes] for how, notes in counts.items()}}
        )
    else:
        _print(report, taken if files else None)
    finish(report.findings)


def _marked(
    prop: Prop,
    ticked: tuple[str, ...],
    reopened: tuple[str, ...],
    removed: tuple[str, ...],
    answer: str | None,
) -> Prop:
    now = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    for each in ticked:
        prop = tick(prop, each, now, answer)
    for each in reopened:
        prop = reopen(prop, each)
    for each in removed:
        prop = without_note(prop, each)
    return prop


def _print(report: NotesReport, taken: Taken | None) -> None:
    if taken is not None:
        say(taken.sentence)
    if not report.standings:
        say(f"No notes are kept with {report.prop}.")
        return
    title = f"Notes to {report.prop}: {report.counted}"
    table(title, ("#>", "id", "", "belongs to", "what it says", "made"), map(_row, report.standings))
    if report.findings:
        print_findings(report.findings)


def _row(each: Standing) -> tuple[object, ...]:
    note = each.note
    said = printable_lines(note.text) or "-"
    if note.done is not None:
        said += f"\n✓ done {note.done[:10]}{': ' if note.answer else ''}{printable_lines(note.answer)}"
    made = f"{note.made[:10]}{' by ' if note.by else ''}{printable(note.by)}"
    return each.number, note.id[:ID_DIGITS], KINDS[note.kind], each.where, Text(said), Text(made)
