"""The director's file: what it shows is what the core computes, and words of others stay words."""

from __future__ import annotations

import base64
import json
import re

import numpy as np
import pytest

import posekit
from posekit.errors import PosekitError
from posekit.mechanism.joints import solve
from posekit.mechanism.kinematics import forward
from posekit.motion import follow, readings
from posekit.output.one_file import Drawing, digest, encode
from posekit.prop.fingerprint import fingerprint
from posekit.prop.notes import kept_notes
from posekit.report.director import DirectorFigure, Shown, director_figure, director_steps, shown
from posekit.stream import read_show
from tests.conftest import demo_prop
from tests.output.test_figure import frames, unpacked

HERON = demo_prop("heron")
HOSTILE = "</script><img src=x onerror=alert(1)>\u202e" + "a" * 100
NOTE = {"id": "0" * 32, "made": "2026-11-26T10:00:00Z", "kind": "note", "text": "</script>" + "x" * 9991}
NOTED = {"prop": "x", "fingerprint": "0" * 64, "file_made": "2026-11-26"}


@pytest.fixture(scope="module")
def heron() -> tuple[Shown, DirectorFigure, list[int]]:
    """What is shown of the heron, its file, and the steps in which it was made."""
    what, seen = shown(HERON, ["strike", "alert", "fishing"]), []
    steps = director_steps(HERON, what, "2026-11-26")
    with pytest.raises(StopIteration) as finished:
        for _ in range(100):
            seen.append(next(steps))
    return what, finished.value.value, seen


def test_looks_and_shows_stand_in_the_file_as_the_core_poses_them(heron) -> None:
    what, made, seen = heron
    assert seen == list(range(1, len(HERON.links) + 1 + 4))  # parts, looks and shows one by one
    assert [name for name, _ in what.looks] == ["strike", "alert", "fishing"]
    said, planes = unpacked(made.data)
    off = [
        frames(planes, said["poses"])[row, link] - posekit.pose(HERON, snapshot).links[part.name]
        for row, (_, snapshot) in enumerate(what.looks)
        for link, part in enumerate(HERON.links)
    ]
    # A turn to a millionth, and a place to a millionth of the size of the figure.
    assert np.abs(np.array(off) / [1, 1, 1, said["size_mm"]]).max() < 1e-6

    (show,) = said["shows"]
    kept = read_show(HERON, HERON.files["shows/fishing.toml"], "shows/fishing.toml")
    motion = follow(HERON, kept.times, kept.values)
    drawn = frames(planes, show["poses"])
    times = show["begin"] + np.arange(len(drawn)) / show["rate"]
    assert times[-1] >= max(readings(HERON, motion).settled, kept.times[-1])
    real = forward(HERON, solve(HERON, motion.position(times)).position)
    assert np.abs((drawn - real) / [1, 1, 1, said["size_mm"]]).max() < 1e-6
    sent = forward(HERON, solve(HERON, motion.commanded(times)).position)
    assert np.abs(real - sent)[..., :3, 3].max() > 10  # so it is the servos' way, not what they were sent


def test_the_file_says_which_prop_it_is_of_and_what_to_beware_of(heron) -> None:
    said, _ = unpacked(heron[1].data)
    assert said["fingerprint"] == fingerprint(HERON) and said["made"] == "2026-11-26"
    assert "pinch" in said["cautions"][0]
    assert said["notes"] == [] and said["limits"]["letters"] == 10_000


def test_a_prop_without_looks_is_shown_at_rest(arm: posekit.Prop) -> None:
    said, planes = unpacked(director_figure(arm, shown(arm), "2026-11-26").data)
    assert [look["name"] for look in said["looks"]] == [None]
    assert frames(planes, said["poses"])[0, 0] == pytest.approx(np.eye(4), abs=1e-6)


def test_a_file_may_hold_shows_alone() -> None:
    of_shows = Shown((), shown(HERON, ["dusk"]).shows)
    said, planes = unpacked(director_figure(HERON, of_shows, "2026-11-26").data)
    assert said["looks"] == [] and said["poses"]["count"] == 0 and len(said["shows"]) == 1
    assert len(frames(planes, said["shows"][0]["poses"])) > 1


def test_a_name_that_is_neither_look_nor_show_is_told_with_those_there_are() -> None:
    with pytest.raises(PosekitError, match=r"nap: is neither a look nor a show .* alert, .* its shows: dusk"):
        shown(HERON, ["nap"])


def test_a_show_that_is_too_long_is_refused_with_how_long_one_may_be(arm_text: str) -> None:
    cues = b'format = 1\nname = "night"\nrate = 1\n[[cues]]\nname = "wait"\nvalues = {}\nhold = 80000\n'
    arm = posekit.read({"prop.toml": arm_text.encode(), "shows/night.toml": cues})
    with pytest.raises(PosekitError, match=r"runs for 8000. s; with 2 parts a file holds 12000 s"):
        director_figure(arm, shown(arm), "2026-11-26")


def test_words_of_others_stay_words(arm_text: str) -> None:
    """In the name of the prop, of a cue, of a look and in a note of 10,000 letters."""
    named = re.sub(
        r"^name = .*$", f"name = {HOSTILE!r}".replace("\\u202e", "\u202e"), arm_text, count=1, flags=re.M
    )
    note = json.dumps({"posekit_notes": 1, **NOTED, "notes": [NOTE]}).encode()
    prop = posekit.read({"prop.toml": named.encode(), "looks/a & b; c.json": b"{}", "notes.json": note})
    assert prop.name == HOSTILE and kept_notes(prop)[0].text == NOTE["text"]
    drawing = Drawing("run()", "a{}", "licence </template><script>")
    html = director_figure(prop, shown(prop), "2026-11-26").html(drawing).decode()
    # What is markup in it is ours: no element more than in the file of an innocent prop.
    plain = posekit.read({"prop.toml": arm_text.encode()})
    innocent = director_figure(plain, shown(plain), "2026-11-26").html(drawing).decode()
    assert re.findall("<[a-z/!]+", html) == re.findall("<[a-z/!]+", innocent)
    assert "\u202e" not in html
    packed = re.search('id="data">([^<]*)<', html)
    said, _ = unpacked(base64.b64decode(packed[1]))
    assert said["prop"]["name"] == HOSTILE and "\u202e" not in said["prop"]["told"]
    assert said["notes"][0]["text"] == NOTE["text"] and said["notes"][0]["number"] == 1


def test_the_policy_lets_this_script_and_this_style_run_and_nothing_else() -> None:
    html = encode(Drawing("run()", "a{}", ""), b"", "Heron", (), ()).decode()
    policy = re.search('Content-Security-Policy" content="([^"]*)"', html)[1].replace("&#x27;", "'")
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules["default-src"] == rules["base-uri"] == rules["form-action"] == "'none'"
    assert rules["script-src"] == f"'{digest('run()')}'" and rules["style-src"] == f"'{digest('a{}')}'"
    # SHA-256 of nothing, as FIPS 180-4 has it, in base64 (RFC 4648).
    assert digest("") == "sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU="
    with pytest.raises(ValueError, match="end tag"):
        encode(Drawing("'</SCRIPT>'", "", ""), b"", "Heron", (), ())


def test_nothing_given_is_the_prop_at_rest_and_not_an_empty_file(arm: posekit.Prop) -> None:
    assert not shown(arm) and not Shown((), ()) and shown(HERON)
