"""Kept verdicts: believed only as they were written, and never a reason to lose a finished answer."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import posekit
from posekit.clearance import envelope, watch
from posekit.clearance.kept import digest, verdict_from
from posekit.clearance.pair_model import pair_model
from posekit.mechanism.reach import coordinates

WAND_AWAY = "at = [60, 0, 0]"


@pytest.fixture(scope="module")
def prop():
    from pathlib import Path

    text = (Path(__file__).parents[1] / "cases" / "valid" / "wand.toml").read_text()
    return posekit.read({"prop.toml": text.replace(WAND_AWAY, "at = [98, 0, 0]").encode()})


@pytest.fixture(scope="module")
def truth(prop):
    cache = {}
    return envelope(prop, cache=cache), json.loads(json.dumps(cache))


def asked_again(prop, cache):
    return envelope(prop, cache=cache)


def assert_judged_anew(prop, truth, cache):
    first, kept = truth
    again = asked_again(prop, cache)
    assert again.pairs == first.pairs
    assert [finding.code for finding in again.findings] == ["kept-doubtful"]
    assert [finding.subject for finding in again.findings] == ["base - wand"]
    assert "checked again" in again.findings[0].message
    assert json.loads(json.dumps(cache)) == kept, "the right verdict stands in its place"


def test_a_verdict_as_it_was_written_is_believed_and_said_to_be_kept(prop, truth):
    first, kept = truth
    again = asked_again(prop, json.loads(json.dumps(kept)))
    assert again.pairs == tuple(replace(verdict, kept=True) for verdict in first.pairs)
    assert [(finding.level, finding.code) for finding in again.findings] == [("note", "kept")]


@pytest.mark.parametrize(
    ("field", "found"),
    [("clear_by_mm", 99.0), ("verdict", "clear"), ("open_fraction", 0.5), ("nearest_mm", 98.0), ("cells", 1),
     ("pair", ["base", "post"]), ("witness", {"wand": 1})],
)  # fmt: skip
def test_a_verdict_changed_by_hand_is_told_and_judged_anew(prop, truth, field, found):
    cache = json.loads(json.dumps(truth[1]))
    (entry,) = cache.values()
    assert entry["verdict"][field] != found
    entry["verdict"][field] = found
    assert_judged_anew(prop, truth, cache)


@pytest.mark.parametrize(
    ("field", "found"),
    [("pair", ["base", "post"]), ("pair", "xy"), ("joints", []), ("verdict", "fine"), ("clear_by_mm", None),
     ("clear_by_mm", "99"), ("clear_by_mm", -1.0), ("clear_by_mm", True), ("witness", None), ("witness", {"wand": 256}),
     ("witness", {"wand": 1.5}), ("witness", {"wand": 1, "jaw": 2}), ("open_fraction", None), ("cells", 1.0),
     ("finished", False), ("kept", True), ("drives", [["wand"]]), ("more", 1)],
)  # fmt: skip
def test_a_verdict_of_wrong_types_is_told_even_with_a_digest_that_fits(prop, truth, field, found):
    cache = json.loads(json.dumps(truth[1]))
    (entry,) = cache.values()
    entry["verdict"][field] = found
    entry["digest"] = digest({key: value for key, value in entry.items() if key != "digest"})
    assert_judged_anew(prop, truth, cache)


def test_a_verdict_of_another_version_or_question_is_told(prop, truth):
    for field, found in (("posekit", "0.0.1"), ("format", 2), ("question", "0" * 64)):
        cache = json.loads(json.dumps(truth[1]))
        (entry,) = cache.values()
        entry[field] = found
        entry["digest"] = digest({key: value for key, value in entry.items() if key != "digest"})
        assert_judged_anew(prop, truth, cache)


json_data = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=8,
)


@pytest.fixture(scope="module")
def model(prop):
    return pair_model(prop, coordinates(prop), watch(prop), ("base", "wand"))


@pytest.mark.native  # JSON is judged by the same lines in every Python
@given(json_data)
def test_whatever_else_is_kept_by_the_name_is_not_believed(truth, model, data):
    (name,) = truth[1]
    with pytest.raises(ValueError, match="it "):
        verdict_from(name, model, data)


@pytest.mark.native  # likewise
@given(data=st.data())
def test_any_one_field_of_a_kept_verdict_changed_to_anything_is_never_believed(truth, model, data):
    ((name, entry),) = json.loads(json.dumps(truth[1])).items()
    assert verdict_from(name, model, entry).kept
    within = data.draw(st.sampled_from([entry, entry["verdict"]]))
    field = data.draw(st.sampled_from(sorted(within)))
    found = data.draw(json_data.filter(lambda found: json.dumps(found) != json.dumps(within[field])))
    within[field] = found
    with pytest.raises(ValueError):
        verdict_from(name, model, entry)


class FullDisk(dict):
    def __setitem__(self, name, data):
        raise OSError(28, "No space left on device")


def test_a_full_disk_does_not_throw_the_finished_verdict_away(prop, truth):
    full = asked_again(prop, FullDisk())
    assert full.pairs == truth[0].pairs
    (finding,) = full.findings
    assert (finding.level, finding.code) == ("warning", "not-kept")
    assert "No space left" in finding.message


class Unreadable(dict):
    def get(self, name):
        raise OSError(5, "Input/output error")


def test_a_cache_that_cannot_be_read_counts_as_none_and_is_told(prop, truth):
    again = asked_again(prop, Unreadable())
    assert again.pairs == truth[0].pairs
    assert [finding.code for finding in again.findings] == ["kept-doubtful"]
