"""Notes taken in, ticked off, opened again, and led along where what they name changes."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import posekit
from posekit.authoring.contents import at_zero
from posekit.authoring.notes import left_without_part, reopen, take, tick, unread_notes, without_note
from posekit.authoring.remove import remove
from posekit.authoring.rename import rename, rename_file
from posekit.authoring.world import hang, place_joint
from posekit.errors import PosekitError
from posekit.prop.fingerprint import fingerprint
from posekit.prop.notes import Note, kept_notes, with_notes
from posekit.report.notes import notes_report

WAND = (Path(__file__).parents[1] / "cases" / "valid" / "wand.toml").read_bytes()
LOOK = b"universe,address,value\n1,1,0\n"


def prop() -> posekit.Prop:
    shows = b'format = 1\nname = "Up"\n[[cues]]\nname = "a"\nlook = "looks/up.csv"\n'
    return posekit.read({"prop.toml": WAND, "looks/up.csv": LOOK, "shows/rise.toml": shows})


def note(number: int, of: posekit.Prop, **given: object) -> Note:
    filled = {"kind": "note", "text": "lower", "made": "2026-11-26T10:00:00Z", **given}
    made = Note(
        id=f"{number:032x}"[::-1], prop=of.name, fingerprint=fingerprint(of), file_made="2026-11-26", **filled
    )  # type: ignore[arg-type]
    return made


def test_the_same_note_twice_is_one_and_one_with_other_words_is_open_again() -> None:
    wand = prop()
    first, second = note(1, wand, look="up", kind="change"), note(2, wand, part="wand")
    taken = take(wand, [first, second])
    assert (taken.new, taken.amended, taken.again) == ((first, second), (), ())
    ticked = tick(taken.prop, first.id[:6], "2026-11-27T10:00:00Z", "by 10 degrees")
    done = kept_notes(ticked)[0]
    assert (done.state, done.done, done.answer) == ("done", "2026-11-27T10:00:00Z", "by 10 degrees")
    again = take(ticked, [first, second])
    assert again.prop is ticked and len(again.again) == 2 and again.sentence == "Notes: 2 here already."
    louder = take(ticked, [replace(first, text="lower still")])
    assert [(each.text, each.state, each.answer) for each in kept_notes(louder.prop)] == [
        ("lower still", "open", "by 10 degrees"),
        ("lower", "open", ""),
    ]
    assert louder.sentence == "Notes: 1 changed."
    assert kept_notes(reopen(ticked, first.id))[0] == replace(first, answer="by 10 degrees")


@pytest.mark.parametrize(
    ("word", "why"), [("ffff", "is the id of no note"), ("10", "give 4 digits"), ("", "4 digits")]
)
def test_an_id_that_names_no_note_or_more_than_one_is_refused(word: str, why: str) -> None:
    wand = prop()
    with pytest.raises(PosekitError, match=why):
        tick(take(wand, [note(1, wand)]).prop, word, "2026-11-27T10:00:00Z")


def test_newer_words_stay_in_whatever_order_messages_come() -> None:
    wand = prop()
    first = note(1, wand, text="lower", made="2026-11-26T10:00:00Z")
    second = replace(
        first, text="lower still", revised="2026-11-26T12:00:00.250+02:00"
    )  # 10:00:00.25 at Greenwich
    third = replace(first, text="higher", revised="2026-11-26T10:30:00Z")
    for order in (
        (first, second, third),
        (third, second, first),
        (second, third, first),
        (third, first, second),
    ):
        now = wand
        for came in order:
            now = take(now, [came]).prop
        assert kept_notes(now) == (third,)
    ticked = tick(now, third.id, "2026-11-27T10:00:00Z", "by 10 degrees")
    late = take(ticked, [second])
    assert late.prop is ticked and late.sentence == "Notes: 1 here in newer words, which stay."
    assert (late.older, late.amended) == (kept_notes(ticked), ())


def test_a_note_that_is_removed_is_gone_and_those_after_it_move_up() -> None:
    wand = prop()
    noted = take(wand, [note(1, wand, text="one"), note(2, wand, text="two")]).prop
    left = without_note(noted, note(1, wand).id[:6])
    assert [(each.number, each.note.text) for each in notes_report(left).standings] == [(1, "two")]
    assert without_note(left, note(2, wand).id).files == wand.files  # no file of nothing is kept
    with pytest.raises(PosekitError, match=r"is the id of no note of this prop; give 4 digits"):
        without_note(left, note(1, wand).id)


def test_renames_of_parts_looks_and_shows_lead_notes_along_and_those_that_come_later() -> None:
    wand = prop()
    here = [note(1, wand, look="up", part="wand"), note(2, wand, show="rise", time_s=0.5)]
    renamed = rename(take(wand, here).prop, "links", "wand", "baton")
    renamed = rename_file(renamed, "looks/up.csv", "looks/raised.csv")
    renamed = rename_file(renamed, "shows/rise.toml", "shows/lift.toml")
    of_look, of_show = kept_notes(renamed)
    assert (of_look.look, of_look.part, of_show.show) == ("raised", "baton", "lift")
    assert (of_look.look_was, of_look.part_was, of_show.show_was) == ("up", "wand", "rise")
    assert take(renamed, here).prop is renamed
    later = take(renamed, [note(3, wand, look="up", part="wand")]).new[0]
    assert (later.look, later.part) == ("raised", "baton")
    told = [[each.code for each in one.changed] for one in notes_report(renamed).standings]
    assert told == [["renamed", "renamed", "prop-changed"], ["renamed", "prop-changed"]]
    back = rename(renamed, "links", "baton", "wand")
    back = rename_file(back, "looks/raised.csv", "looks/up.csv")
    assert kept_notes(rename_file(back, "shows/lift.toml", "shows/rise.toml")) == tuple(here)


def test_a_look_whose_name_changes_by_another_files_ending_keeps_its_notes() -> None:
    files = {"prop.toml": WAND, "looks/up.csv": LOOK, "looks/down.json": b'{"1": {"1": 0}}'}
    noted = take(posekit.read(files), [note(1, prop(), look="up"), note(2, prop(), look="down")]).prop
    renamed = rename_file(noted, "looks/down.json", "looks/up.json")
    assert [each.look for each in kept_notes(renamed)] == ["up.csv", "up.json"]


def test_a_pin_stays_at_its_place_on_the_part_when_the_frame_of_the_part_moves() -> None:
    wand = prop()
    joint = wand.joints[0]
    noted = take(wand, [note(1, wand, part=joint.child, point_mm=(10.0, -4.0, 7.5))]).prop

    def place(of: posekit.Prop) -> np.ndarray:
        (pinned,) = kept_notes(of)
        assert pinned.point_mm is not None and pinned.part is not None
        return at_zero(of)[pinned.part] @ (*pinned.point_mm, 1.0)

    moved = place_joint(noted, joint.name, (3.0, 5.0, 40.0))
    assert kept_notes(moved) != kept_notes(noted)
    np.testing.assert_allclose(place(moved), place(noted), atol=1e-9)


def test_taking_notes_in_again_changes_nothing_whatever_was_edited_since() -> None:
    """Neither the notes of the first file nor those of one that was exported after the edits."""
    wand = prop()
    pinned = note(1, wand, look="up", part="wand", point_mm=(10.0, -4.0, 7.5), kind="change")
    edited = tick(take(wand, [pinned]).prop, pinned.id, "2026-11-27T10:00:00Z", "by 10 degrees")
    edited = rename(place_joint(edited, "wand", (3.0, 5.0, 40.0)), "links", "wand", "baton")
    edited = rename_file(hang(edited, "baton", "base"), "looks/up.csv", "looks/raised.csv")
    edited = place_joint(edited, "wand", (0.0, 5.0, 40.0))
    (kept,) = kept_notes(edited)
    assert kept.point_mm != pinned.point_mm == kept.point_was_mm and kept.answer == "by 10 degrees"
    bare = {"look_was": None, "part_was": None, "point_was_mm": None, "answer": "", "done": None}
    for again in (pinned, replace(kept, **bare)):
        assert take(edited, [again]).prop is edited
        (louder,) = take(edited, [replace(again, text="lower still")]).amended
        assert louder == replace(kept, text="lower still", done=None)
    (elsewhere,) = take(edited, [replace(pinned, point_mm=(1.0, 2.0, 3.0))]).amended
    assert (elsewhere.point_mm, elsewhere.point_was_mm) == ((1.0, 2.0, 3.0), None)
    back = place_joint(edited, "wand", (0.0, 0.0, 0.0))
    assert kept_notes(back)[0].point_mm == pinned.point_mm and kept_notes(back)[0].point_was_mm is None


def test_what_comes_in_cannot_say_that_it_is_done_or_answered() -> None:
    """Another door is the folder of a prop, whose notes are the builder's own."""
    wand = prop()
    claims = {"done": "2026-11-27T10:00:00Z", "answer": "as you like", "look_was": "low", "part_was": "arm"}
    honest = note(1, wand, look="up", part="wand", point_mm=(1.0, 2.0, 3.0))
    claimed = replace(honest, **claims, point_was_mm=(3.0, 2.0, 1.0))
    assert take(wand, [claimed]).new == (honest,)
    assert kept_notes(with_notes(wand, [claimed])) == (claimed,)


def test_what_has_changed_since_is_told_and_the_note_is_still_there() -> None:
    wand = prop()
    noted = take(wand, [note(1, wand, look="up"), note(2, wand, part="wand"), note(3, wand)]).prop
    assert [one.changed for one in notes_report(noted).standings] == [(), (), ()]
    without = remove(noted, "links", "wand", with_all=True)
    (left,) = left_without_part(noted, without)
    assert "1 note" in left.message and "wand" in left.subject
    files = {path: data for path, data in without.files.items() if path != "looks/up.csv"}
    now = posekit.read({**files, "prop.toml": without.text.replace("name = ", "name = 'Two' # ", 1).encode()})
    report = notes_report(tick(now, note(3, wand).id, "2026-11-27T10:00:00Z"))
    assert [(one.number, one.group) for one in report.standings] == [
        (1, "Look up"),
        (2, "Part wand"),
        (3, "Whole figure"),
    ]
    codes = [[each.code for each in one.changed] for one in report.standings]
    assert codes[:2] == [
        ["look-gone", "other-prop", "prop-changed"],
        ["part-gone", "other-prop", "prop-changed"],
    ]
    assert {each.subject for each in report.findings} == {"note 1", "note 2"}
    assert json.dumps(report.as_dict(), allow_nan=False)


def test_a_name_that_may_have_been_changed_before_the_note_came_is_not_told_as_gone_for_certain() -> None:
    """What it was called when the note was made, the prop cannot know."""
    wand = prop()
    sent = [note(1, wand, part="wand"), note(2, wand, part="stick")]
    (here,) = (each.changed for each in notes_report(take(wand, sent[1:]).prop).standings)
    assert [each.message for each in here] == [
        "this prop has no part 'stick'"
    ]  # nor did it when it was noted
    renamed = rename(wand, "links", "wand", "baton")
    (late, _) = notes_report(take(renamed, sent).prop).standings
    assert late.changed[0].message == (
        "this prop has no part 'wand' now: since the note was made it was removed, or has another name"
    )


def test_notes_that_cannot_be_read_are_left_alone_by_a_rename_and_told() -> None:
    odd = posekit.read({"prop.toml": WAND, "notes.json": b"mine"})
    assert rename(odd, "links", "wand", "baton").files["notes.json"] == b"mine"
    assert [each.code for each in unread_notes(odd)] == ["left-alone"]
