"""A director's notes as they are read, from a file and from a message, and kept with the prop."""

from __future__ import annotations

import json
import textwrap
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import posekit
from posekit import budgets
from posekit.errors import PosekitError
from posekit.prop.fingerprint import fingerprint
from posekit.prop.notes import Note, kept_notes, newest, notes_json, read_blocks, read_notes, with_notes

WAND = (Path(__file__).parents[1] / "cases" / "valid" / "wand.toml").read_bytes()
TOP = {"posekit_notes": 1, "prop": "Wand", "fingerprint": "0f" * 32, "file_made": "2026-11-26"}
LOWER = {
    "id": "1a" * 16,
    "made": "2026-11-26T10:00:00Z",
    "by": "",
    "kind": "change",
    "look": "high",
    "show": None,
    "time_s": None,
    "part": "wand",
    "point_mm": [1, 2.5, -3],
    "text": 'a little "lower" } {\nby <img onerror=alert(1)> </script> \u202e 10 degrees',
}
LATER = {
    **LOWER,
    "id": "2b" * 16,
    "kind": "note",
    "look": None,
    "show": "hour",
    "time_s": 12.4,
    "text": "late",
}


def form(*notes: dict[str, Any], **top: Any) -> bytes:
    return json.dumps({**TOP, **top, "notes": notes}).encode()


def prop() -> posekit.Prop:
    return posekit.read({"prop.toml": WAND})


def test_what_is_read_is_what_was_written_with_prop_and_date_of_its_file() -> None:
    lower, later = read_notes(form(LOWER, LATER))
    assert (lower.text, lower.point_mm, lower.by) == (LOWER["text"], (1.0, 2.5, -3.0), "")
    assert (later.show, later.time_s, later.look) == ("hour", 12.4, None)
    assert {(note.prop, note.file_made, note.state) for note in (lower, later)} == {
        ("Wand", "2026-11-26", "open")
    }
    ticked = replace(lower, done="2026-11-27T09:00:00+00:00", answer="by 12", part_was="stick")
    assert read_notes(notes_json([ticked, later])) == (ticked, later)


@pytest.mark.parametrize("space", [" ", "\\u0020"])
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("quote", ["", "> ", ">> ", "  "])
def test_a_message_gives_the_same_notes_however_mail_quotes_and_breaks_it(
    quote: str, ends: str, space: str
) -> None:
    data = json.dumps({**TOP, "notes": [LOWER, LATER]}, separators=(",", ":")).replace(" ", space)
    broken = textwrap.wrap(f"posekit notes {data}", 76, break_long_words=space != " ", break_on_hyphens=False)
    lines = ["Lower, please: posekit notes {nothing}", "", *broken, "-- ", "Ann {1}"]
    assert read_notes("".join(f"{quote}{line}{ends}" for line in lines).encode()) == read_notes(
        form(LOWER, LATER)
    )
    cut = [f"posekit notes {data}"[at : at + 998] for at in range(0, len(data) + 14, 998)]
    assert read_notes(ends.join(quote + line for line in cut).encode()) == read_notes(form(LOWER, LATER))


def test_a_reply_above_the_message_that_it_quotes_gives_its_own_words_and_what_only_the_other_has() -> None:
    """So does one below it; and words that look like notes are words."""
    newer = {**LOWER, "text": "no, leave it\u2028as it\x85 is\nposekit notes {}"}
    above = f"posekit notes {json.dumps({**TOP, 'notes': [newer]}, ensure_ascii=False)}"
    older = textwrap.indent(f"posekit notes {form(LOWER, LATER).decode()}", "> ")
    for message in (f"{above}\n\nAnn wrote:\n{older}", f"{older}\n{above}"):
        blocks = read_blocks(message.encode())
        assert [len(block) for block in blocks] == [1, 2]
        told = {note.id: note.text for note in newest(blocks)}
        assert told == {newer["id"]: newer["text"], LATER["id"]: LATER["text"]} and newest(blocks)[0].made
    with pytest.raises(PosekitError, match=r"mail, block 2 of 2.*cut short"):
        read_notes(f"{above}\n{older[:-9]}".encode(), "mail")
    split = above.replace(r"\nposekit notes {}", "\nposekit notes {}")
    assert len(read_blocks(split.encode())) == 1
    with pytest.raises(PosekitError, match="more than 100 blocks"):
        read_notes(f"{above}\n".encode() * (budgets.NOTE_BLOCKS + 1))


def test_of_a_note_in_several_blocks_the_newest_words_count_wherever_they_stand() -> None:
    def block(**given: str) -> str:
        return f"posekit notes {form({**LOWER, **given}).decode()}"

    revised = block(text="higher", revised="2026-11-26T10:30:00Z")
    for message in (f"{revised}\n> {block(text='lower')}", f"{block(text='lower')}\n> {revised}"):
        (note,) = read_notes(message.encode())
        assert note.text == "higher"


def test_all_that_is_wrong_is_told_at_once_with_file_place_what_was_found_and_what_is_right() -> None:
    bad = {**LOWER, "id": "x", "show": "hour", "point_mm": [1, 2], "colour": 1}
    lone = {**LATER, "kind": "approved", "show": None, "made": "yesterday", "text": "\ud800"}
    with pytest.raises(PosekitError) as refused:
        read_notes(form(bad, lone, 7, LATER, LATER), "ann.json")  # type: ignore[arg-type]
    told = "\n".join(f"ann.json: {finding.subject}" for finding in refused.value.findings)
    expected = ["0].colour", "0].point_mm", "0].id", "0].show", "1].text", "1].made", "1].time_s", "1].kind"]
    expected += ["2]", "3].id", "4].id"]
    assert told == "\n".join(f"ann.json: notes[{place}" for place in expected)
    with pytest.raises(PosekitError, match=r"notes\[0\]\.id = 'x': 32 digits 0 to f are needed"):
        read_notes(form({**LOWER, "id": "x"}))


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (form(posekit_notes=2), "form 1; update posekit. Nothing of it was changed"),
        (form(posekit_notes=True), "take it out again"),
        (b"Lower, please", "holds no notes; give the file that was taken out"),
        (b'{"1": {"9": 128}}', "is JSON, but no notes"),
        (b"posekit notes " + form(LOWER)[:-40], "cut short: take it out or copy it again"),
        (b"[" * 40 + b"]" * 40, "more than 32 deep"),
        (b" " * (budgets.NOTES_BYTES + 1), "a file of notes may have 12.0 MiB at most"),
        (form(*[{**LOWER, "id": f"{n:032x}"} for n in range(budgets.NOTES + 1)]), "1000 at most"),
        (form({**LOWER, "text": "x" * (budgets.NOTE_LETTERS + 1)}), "has 10001 letters; 10000 at most"),
    ],
)
def test_what_is_no_notes_or_too_much_is_refused_with_what_to_do(content: bytes, why: str) -> None:
    with pytest.raises(PosekitError, match=why):
        read_notes(content)
    assert read_notes(form({**LOWER, "text": "x" * budgets.NOTE_LETTERS}))[0].text == "x" * 10_000


def test_notes_are_kept_with_the_prop_in_its_folder_and_its_glb_and_leave_its_fingerprint_alone(
    tmp_path: Path,
) -> None:
    notes = read_notes(form(LOWER, LATER))
    noted = with_notes(prop(), notes)
    posekit.save(noted, tmp_path / "wand")
    posekit.gltf.write(noted, posekit.pose(noted, posekit.Snapshot({})), tmp_path / "wand.glb")
    for place in ("wand", "wand.glb"):
        assert kept_notes(posekit.load(tmp_path / place)) == notes
    assert fingerprint(noted) == fingerprint(prop())
    assert with_notes(noted, []).files == prop().files


@pytest.mark.parametrize("kept", [b"my own notes", form(LOWER, posekit_notes=2)])
def test_notes_that_cannot_be_read_are_told_kept_and_never_written_over(kept: bytes) -> None:
    noted = posekit.read({"prop.toml": WAND, "notes.json": kept})
    told = [each for each in posekit.check(noted) if each.file == "notes.json"]
    assert [each.level for each in told] == ["warning"]
    with pytest.raises(PosekitError, match=r"notes\.json"):
        with_notes(noted, read_notes(form(LATER)))


def test_as_many_notes_as_are_kept_each_of_as_many_plain_letters_as_it_may_have_fit() -> None:
    (longest,) = read_notes(form({**LOWER, "text": "x" * budgets.NOTE_LETTERS}))
    assert len(notes_json([longest])) * budgets.NOTES <= budgets.NOTES_BYTES


def test_a_note_that_is_made_in_code_is_judged_like_one_that_is_read() -> None:
    (lower,) = read_notes(form(LOWER))
    with pytest.raises(PosekitError, match="10001 letters"):
        with_notes(prop(), [replace(lower, answer="x" * 10_001)])
    assert isinstance(lower, Note)
