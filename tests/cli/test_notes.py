"""`posekit notes` takes notes in, lists them and ticks them off."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import posekit
from posekit.cli import main
from posekit.prop.fingerprint import fingerprint

WAND = (Path(__file__).parents[1] / "cases" / "valid" / "wand.toml").read_bytes()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "wand").mkdir()
    (tmp_path / "wand" / "prop.toml").write_bytes(WAND)
    prop = posekit.load(tmp_path / "wand")
    top = {"posekit_notes": 1, "prop": prop.name, "fingerprint": fingerprint(prop), "file_made": "2026-11-26"}
    note = {"id": "1a2b3c4d" * 4, "made": "2026-11-26T10:00:00Z", "by": "Ann", "kind": "note", "part": "wand"}
    data = {**top, "notes": [{**note, "text": "a little lower\nand [bold]slower[/bold]"}]}
    (tmp_path / "ann.json").write_text(json.dumps(data))
    (tmp_path / "mail.txt").write_text(f"Lower!\n\n> posekit notes {json.dumps(data)}\n")
    return tmp_path


def run(folder: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["notes", str(folder / "wand"), *words])


def test_notes_come_in_once_are_listed_ticked_off_and_opened_again(folder: Path) -> None:
    assert "No notes are kept" in run(folder).output
    done = run(folder, str(folder / "ann.json"), str(folder / "mail.txt"))
    assert done.exit_code == 0, done.output
    assert (
        "Notes: 1 new, 1 here already, from 2 blocks of notes." in done.output
        and "1 open, 0 done" in done.output
    )
    for word in ("1a2b3c4d", "part wand", "a little lower", "and [bold]slower[/bold]", "2026-11-26 by Ann"):
        assert word in done.output
    ticked = run(folder, "--done", "1a2b", "--answer", "by 10 degrees")
    assert "0 open, 1 done" in ticked.output and "by 10 degrees" in ticked.output
    data = json.loads(run(folder, "--json").output)
    assert (data["open"], data["done"], data["notes"][0]["state"]) == (0, 1, "done")
    assert data["fingerprint"] == data["notes"][0]["fingerprint"] and data["findings"] == []
    again = json.loads(run(folder, "--reopen", "1A2B3C", "--json").output)
    assert (again["open"], again["taken"]) == (1, {"new": [], "amended": [], "again": [], "older": []})


def test_a_note_is_removed_by_its_id_and_the_last_one_takes_the_file_along(folder: Path) -> None:
    run(folder, str(folder / "ann.json"))
    assert "is the id of no note" in run(folder, "--remove", "2b3c").output.replace("\n", " ")
    done = run(folder, "--remove", "1a2b")
    assert done.exit_code == 0 and "No notes are kept" in done.output
    assert not (folder / "wand" / "notes.json").exists()


def test_approvals_are_counted_apart_and_those_of_an_earlier_file_as_that(folder: Path) -> None:
    data = json.loads((folder / "ann.json").read_text())
    yes = {**data["notes"][0], "kind": "approved", "look": "up"}
    earlier = {**yes, "id": "b" * 32, "fingerprint": "0" * 64}
    (folder / "yes.json").write_text(json.dumps({**data, "notes": [{**yes, "id": "a" * 32}, earlier]}))
    told = run(folder, str(folder / "ann.json"), str(folder / "yes.json")).output
    assert "1 open, 1 approved, 1 approved in an earlier file, 0 done" in " ".join(told.split())
    data = json.loads(run(folder, "--done", "1a2b", "--json").output)
    assert (data["open"], data["approved"], data["done"]) == (0, 1, 1)


def test_what_has_changed_since_is_told_and_is_no_error(folder: Path) -> None:
    run(folder, str(folder / "ann.json"))
    edited = CliRunner().invoke(
        main, ["edit", str(folder / "wand"), "rename", "part", "wand", "baton", "--write"]
    )
    assert edited.exit_code == 0 and "notes.json" in edited.output
    told = run(folder)
    assert told.exit_code == 0 and "part baton" in told.output
    assert (
        "the part 'baton' was called 'wand'" in told.output
        and "has changed since the file of 2026-11-26" in told.output
    )
    removed = CliRunner().invoke(
        main, ["edit", str(folder / "wand"), "remove", "part", "baton", "--with-all", "--write"]
    )
    assert "1 note of the director belong" in removed.output
    assert "this prop has no part 'baton'" in run(folder).output


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (["nothing.json"], "cannot be read"),
        (["--done", "ffff"], "is the id of no note"),
        (["--remove", "ffff"], "is the id of no note"),
        (["--answer", "x"], "goes with one --done"),
        (["wand/prop.toml"], "holds no notes"),
    ],
)
def test_what_cannot_be_done_is_refused_and_nothing_is_written(
    folder: Path, words: list[str], why: str
) -> None:
    done = run(folder, *(str(folder / word) if "." in word else word for word in words))
    assert done.exit_code == 2 and why in done.output.replace("\n", "")
    assert not (folder / "wand" / "notes.json").exists()


def test_into_a_glb_nothing_is_taken_but_its_notes_are_listed(folder: Path) -> None:
    run(folder, str(folder / "ann.json"))
    glb = str(folder / "wand.glb")
    assert CliRunner().invoke(main, ["pose", str(folder / "wand"), "@rest", "-o", glb]).exit_code in (0, 1)
    assert "1 open, 0 done" in CliRunner().invoke(main, ["notes", glb]).output
    assert CliRunner().invoke(main, ["notes", glb, "--done", "1a2b"]).exit_code == 2
