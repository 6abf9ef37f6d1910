"""What is told of servos that let go and of values that stop coming: small props by hand, strikes by brute force."""

from __future__ import annotations

import json
from dataclasses import replace
from math import inf
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import posekit
from posekit.clearance import moves
from posekit.clearance.distance import Asked, separations
from posekit.clearance.watch import watch
from posekit.cli import main
from posekit.cli.letting_go import print_losses
from posekit.errors import PosekitError
from posekit.mechanism.joints import solve
from posekit.mechanism.kinematics import forward
from posekit.report import letting_go, loss, signal_loss
from posekit.report.letting_go_told import falling_findings
from posekit.report.loss import LossReport, loss_report, values_during
from posekit.report.loss_words import fall_row
from posekit.statics import shaft_torques
from posekit.stream.reader import read_show
from tests.conftest import CASES, demo_prop, prop_of
from tests.statics.hinged import figure, hinged

# A beam of 200 g, 200 mm long, on a level axis 150 mm up; a post below it, 120 mm out, in its way at 45 degrees and so.
LONG = "mass = 200\nshapes = [{box = [200, 10, 10], at = [120, 0, 0]}]\n"
BEAM = figure(
    "beam",
    hinged("beam", "tilt", 1, at=(0, 0, 150), keys=LONG, more="speed = 100\n"),
    servo="travel = 270.0\nstall_torque = 1.0\nfriction = 0.05",
    base="shapes = [{box = [20, 20, 20], at = [0, 60, 150]}, {box = [20, 20, 60], at = [120, 0, 30]}]\n",
)
LEVEL = [128]


def report(text: str = BEAM, values: list[int] = LEVEL) -> LossReport:
    return loss_report(prop_of(text), values)


def told(found: LossReport) -> dict[str, str]:
    return {each.code: each.level for each in found.findings}


def test_what_it_strikes_on_the_way_is_where_a_sampled_fall_first_touches() -> None:
    found = report()
    (tilt,) = found.drives
    assert tilt.fall.what == "falls"
    assert tilt.touches is not None
    (touch,) = tilt.touches
    assert (touch.pair, touch.verdict, touch.swinging) == (("base", "beam"), "strikes", False)
    prop = found.prop
    angles = np.arange(tilt.shaft_deg[0], -90.0, -0.02)
    world = forward(prop, solve(prop, angles[:, None]).position)
    apart = separations(watch(prop), world, Asked(points=False)).upper[:, 0]
    first = angles[int(np.argmax(apart <= 0.0))]
    assert touch.shaft_deg == pytest.approx(first, abs=0.06)
    assert touch.joints == {"tilt": pytest.approx(touch.shaft_deg)}
    assert told(found)["falls-on"] == "warning"
    (said,) = [each.message for each in found.findings if each.code == "falls-on"]
    assert "beam strikes base at tilt -" in said


def test_a_free_way_is_proved_clear_and_no_finding() -> None:
    found = report(BEAM.replace(", {box = [20, 20, 60], at = [120, 0, 30]}", ""))
    assert found.drives[0].touches == ()
    assert set(told(found)) == {"loss-unknown"}


def test_what_only_a_swing_reaches_is_told_as_such() -> None:
    """From level down past hanging to the other side, where the post stands now."""
    found = report(BEAM.replace("at = [120, 0, 30]", "at = [-120, 0, 30]"))
    (tilt,) = found.drives
    assert tilt.touches is not None
    assert [each.swinging for each in tilt.touches] == [True]
    assert "should it swing past its rest" in str(found.findings)


def test_friction_holds_is_unknown_or_does_not_hold() -> None:
    strong = report(BEAM.replace("friction = 0.05", "friction = 0.5")).drives[0]
    assert (strong.fall.what, strong.joints, strong.touches) == ("held", {}, ())
    unknown = report(BEAM.replace("friction = 0.05\n", ""))
    assert unknown.drives[0].friction_nm is None
    assert "may fall (its servo's friction is not known)" in str(unknown.findings)
    assert unknown.drives[0].as_dict()["friction_nm"] is None


def test_an_end_point_does_not_hold_what_lets_go() -> None:
    """Both end points at one pulse: the drive cannot move its joint by values, and falls all the same."""
    still = BEAM.replace("speed = 100", "pulse = {low = 1500, high = 1500}")
    (tilt,) = report(still).drives
    assert tilt.touches is not None
    assert [each.verdict for each in tilt.touches] == ["strikes"]


def test_a_servo_that_may_not_sleep_and_stays_here_is_looked_at_where_it_holds_most(tmp_path: Path) -> None:
    """Of 0.235 N m level its friction holds 0.15: beyond 50 degrees, and it goes up to 67.5."""
    up = BEAM.replace("friction = 0.05", "friction = 0.15").replace("speed = 100", "speed = 100\nrest = 255")
    (tmp_path / "prop.toml").write_text(up)
    data = json.loads(CliRunner().invoke(main, ["power", str(tmp_path), "--json"]).output)
    tilt = data["drives"]["tilt"]
    assert (tilt["may_sleep"], tilt["let_go"]["what"]) == (False, "held")
    worst = tilt["let_go_where_it_holds_most"]
    assert worst["shaft_deg"]["from"] == pytest.approx(0.0, abs=1.0)
    assert [(each["verdict"], each["at_once"]) for each in worst["touches"]] == [("strikes", False)]
    said = [each["message"] for each in data["findings"] if each["code"] == "falls-on"]
    assert len(said) == 1 and said[0].startswith("may not sleep: where it holds most, it falls")
    assert "Those that may not sleep" in CliRunner().invoke(main, ["power", str(tmp_path)]).output


def test_what_touches_before_it_falls_is_no_matter_of_the_fall() -> None:
    low = BEAM.replace("at = [120, 0, 30]", "at = [120, 0, 118]")
    (tilt,) = report(low).drives
    assert tilt.touches is not None
    assert [(each.verdict, each.at_once) for each in tilt.touches] == [("strikes", True)]
    assert "falls-on" not in told(report(low))


def test_what_is_not_looked_at_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(loss, "FALL_PAIRS", 0)
    monkeypatch.setattr(signal_loss, "FALL_PAIRS", 0)
    found = report(f"{BEAM}[receiver]\non_loss = 'rest'\n", [250])
    assert found.drives[0].touches is None
    assert found.drives[0].as_dict()["looked_at"] is False
    assert found.signal.judged == "not looked at"
    assert told(found) | {"fall-not-judged": "note", "loss-way": "note"} == told(found)


@pytest.mark.parametrize(
    ("does", "judged", "lies"),
    [("hold", "nothing moves", 90.0), ("rest", "move", 0.0), ("release", "fall", -90.0)],
)
def test_on_loss_it_holds_goes_to_rest_or_lets_go(does: str, judged: str, lies: float) -> None:
    text = BEAM.replace("friction = 0.05", "friction = 0.0").replace("speed = 100", "speed = 100\nrest = 128")
    high = text.replace(
        "address = 1", "address = 1\npulse = {low = 833.3333333333334, high = 2166.6666666666665}"
    )
    found = report(f"{high}[receiver]\non_loss = '{does}'\n", [254])
    assert found.signal.does == (does,)
    assert found.signal.judged == judged
    lost = found.signal
    assert lost.lies is not None
    assert lost.held_nm is not None
    assert lost.lies.shaft_deg["tilt"] == pytest.approx(lies, abs=1.0)
    at_rest = abs(shaft_torques(found.prop, [[{"hold": 254, "rest": 128}.get(does, 0)]])[0, 0])
    assert (
        lost.held_nm[0] is None
        if does == "release"
        else abs(lost.held_nm[0] or 0.0) == pytest.approx(at_rest)
    )


def test_a_drive_says_for_itself_and_what_the_file_does_not_say_is_unknown() -> None:
    prop = prop_of((CASES / "valid" / "every_key.toml").read_text())
    assert [prop.on_loss(drive) for drive in prop.drives][:2] == ["rest", "hold"]
    found = report()
    assert (found.signal.does, found.signal.lies, found.signal.judged) == ((None,), None, None)
    assert found.as_dict()["signal_loss"]["pose"] is None
    (said,) = [each.message for each in found.findings if each.code == "loss-unknown"]
    assert "set on_loss" in said
    assert "may hold, go to a value or stop the pulses" in said


def test_going_to_rest_may_strike_and_is_judged_as_the_servos_go() -> None:
    """From beyond the post up to level: the beam is below it at first."""
    post = BEAM.replace("at = [120, 0, 30]", "at = [120, 0, 70]").replace(
        "speed = 100", "speed = 100\nrest = 255"
    )
    found = report(f"{post}[receiver]\non_loss = 'rest'\n", [0])
    assert [each.verdict for each in found.signal.move] == ["strikes"]
    assert told(found)["loss-strikes"] == "warning"


def test_what_several_do_at_once_on_the_way_is_not_judged_and_told() -> None:
    prop = demo_prop("bellows")
    look = posekit.Snapshot.decode(prop.files["looks/listening.csv"], ".csv", "listening")
    values = posekit.pose(prop, look).values
    found = loss_report(prop, [values[drive.name] for drive in prop.drives])
    assert found.signal.judged == "each by itself"
    assert told(found)["loss-way"] == "note"
    assert found.all_at_once.overlap == (("dome", "head"),)
    assert told(found)["falls-together"] == "warning"


def test_a_figure_without_drives_has_nothing_to_let_go() -> None:
    found = report((CASES / "valid" / "statue.toml").read_text(), [])
    assert (found.drives, found.signal.judged, found.all_at_once.rests) == ((), "nothing moves", True)


def test_the_heron_falls_with_its_beak_onto_the_plinth() -> None:
    prop = demo_prop("heron")
    show = read_show(prop, prop.files["shows/fishing.toml"], "shows/fishing.toml")
    assert len(values_during(prop, show, 0.0)) == len(prop.drives)
    look = posekit.Snapshot.decode(prop.files["looks/strike.csv"], ".csv", "strike")
    found = loss_report(prop, list(posekit.pose(prop, look).values.values()))
    struck = {each.drive: [touch.pair for touch in each.touches or ()] for each in found.drives}
    assert struck["neck_base"] == struck["neck_middle"] == [("marsh", "head")]
    assert found.signal.judged == "nothing moves"


def test_the_command_prints_it_and_machines_read_it(tmp_path: Path) -> None:
    (tmp_path / "prop.toml").write_text(f"{BEAM}[receiver]\non_loss = 'release'\n")
    asked = CliRunner().invoke(main, ["power", str(tmp_path), "--from", "@middle", "--json"])
    assert asked.exit_code == 0, asked.output
    data = json.loads(asked.output)
    assert list(data)[-5:] == ["let_go_from", "all_let_go", "signal_loss", "left_out", "findings"]
    assert data["let_go_from"] == {"tilt": 128}
    assert data["drives"]["tilt"]["on_loss"] == "release"
    assert data["drives"]["tilt"]["let_go"]["touches"][0]["verdict"] == "strikes"
    said = CliRunner().invoke(main, ["power", str(tmp_path), "--from", "@middle"]).output
    for words in (
        "One servo lets go",
        "✗ strikes base - beam",
        "as power goes",
        "Values stop coming",
        "release",
    ):
        assert words in said
    wrong = CliRunner().invoke(main, ["power", str(tmp_path), "--from", "@nowhere"])
    assert wrong.exit_code == 2


def test_when_time_is_up_no_way_is_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(loss, "REST_S", inf)  # however busy the machine is
    prop = prop_of(f"{BEAM}[receiver]\non_loss = 'rest'\n")
    found = loss_report(prop, [250], stop=lambda: True)
    assert (found.drives[0].fall.what, found.drives[0].touches) == ("falls", None)
    assert found.signal.judged == "not looked at"


def test_of_a_servo_that_there_was_no_time_for_nothing_is_said_but_that(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """One servo is worked out in time, the other is not, nor is how it falls from where it holds most."""
    asked: list[bool] = []
    monkeypatch.setattr(loss, "_later", lambda stop, seconds: lambda: asked.append(True) or len(asked) > 1)
    prop = prop_of(two("release", "release"))
    found = loss_report(prop, LEVEL * 2, stop=lambda: True, worst=[None, LEVEL * 2])
    assert [each.fall.what for each in found.drives] == ["falls", "unknown"]
    assert [each.touches for each in found.drives] == [None, None]
    assert fall_row(prop, found.drives[1])[1:] == ("not looked at", "", "", "")
    assert not found.drives[1].as_dict()["looked_at"]
    said = [
        each.message for each in found.findings if (each.code, each.subject) == ("fall-not-judged", "other")
    ]
    assert said == [
        "was not looked at before time ran out: whether it falls when its servo lets go is not known",
        "may not sleep: where it holds most, it was not looked at before time ran out: whether it falls when its servo "
        "lets go is not known",
    ]
    assert found.signal.judged == "not looked at" and found.signal.held_nm is None


# A second beam beyond the sweep of the first one.
SECOND = hinged("other", "other", 2, at=(0, 400, 150), keys=LONG, more="speed = 100\n")


def two(first: str, second: str, friction: float = 0.0001) -> str:
    """Two beams, and what each does when values stop coming."""
    text = (BEAM + SECOND).replace("friction = 0.05", f"friction = {friction}")
    text = text.replace("address = 1", f"address = 1\non_loss = '{first}'\nrest = 128")
    return text.replace("address = 2", f"address = 2\non_loss = '{second}'\nrest = 128")


def test_what_falls_while_others_go_to_rest_is_not_said_to_be_looked_at() -> None:
    """Released, it hangs straight down long before the other is at rest, or may: even where it has nowhere to fall."""
    found = report(two("release", "rest"), [128, 170])
    assert found.drives[0].fall.what == "falls"
    assert (found.signal.judged, told(found)["loss-way"]) == ("each by itself", "note")
    held = report(two("release", "rest", friction=0.5), [128, 170])
    assert held.signal.lies is not None
    assert set(held.signal.lies.joints) == {"other"}
    assert held.signal.judged == "each by itself"
    (said,) = [each.message for each in found.findings if each.code == "loss-way"]
    assert "with the others standing" in said
    assert "what falls meanwhile" in said


def test_a_fall_that_was_not_looked_at_is_not_said_to_be(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(loss, "REST_S", -1.0)
    late = loss_report(prop_of(two("release", "hold")), LEVEL * 2, stop=lambda: True)
    assert (late.drives[0].touches, late.signal.judged) == (None, "not looked at")
    assert late.signal.held_nm is None
    assert told(late) | {"loss-way": "note", "rest-not-looked-for": "note"} == told(late)
    assert "still-falling" not in told(late)
    assert not late.all_at_once.sought and not late.all_at_once.as_dict()["looked_for"]
    assert report(two("release", "hold"), LEVEL * 2).signal.judged == "fall"
    # With nothing that moves, no time is needed to say so.
    still = loss_report(prop_of(two("hold", "hold")), LEVEL * 2, stop=lambda: True)
    assert still.signal.judged == "nothing moves"


def test_no_time_for_ways_leaves_some_for_how_all_comes_to_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(loss, "REST_S", inf)
    whole = report(two("release", "hold"), LEVEL * 2)
    found = loss_report(prop_of(two("release", "hold")), LEVEL * 2, stop=lambda: True)
    assert (found.drives[0].touches, found.signal.judged) == (None, "not looked at")
    assert found.all_at_once == whole.all_at_once
    assert (found.signal.lies, found.signal.held_nm) == (whole.signal.lies, whole.signal.held_nm)
    assert not {"still-falling", "rest-not-looked-for"} & set(told(found))


def test_a_way_to_rest_is_looked_at_only_until_time_runs_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two beams go to rest: after one of their three pairs no time is left, and what was seen of it is told."""
    looked: list[tuple[str, str]] = []

    def modelled(
        prop: posekit.Prop, ways: object, watched: object, pair: tuple[str, str], made: object
    ) -> object:
        looked.append(pair)
        return pair_model(prop, ways, watched, pair, made)

    pair_model = moves.pair_model
    monkeypatch.setattr(moves, "pair_model", modelled)
    monkeypatch.setattr(loss, "REST_S", inf)
    text = two("rest", "rest", friction=0.5)
    late = loss_report(prop_of(text), [160, 170], stop=lambda: len(looked) > 0)
    assert (len(looked), late.signal.judged, told(late)["loss-way"]) == (1, "not looked at", "note")
    looked.clear()
    whole = report(text, [160, 170])
    assert (len(looked), whole.signal.judged) == (3, "move")


def test_a_fall_of_too_many_pairs_leaves_the_others_theirs(monkeypatch: pytest.MonkeyPatch) -> None:
    """The second beam bears a small part, and so has more pairs than may be looked at; the first has not."""
    tip = """[links.tip]
shapes = [{box = [5, 5, 5], at = [0, 0, 0]}]
[joints.tip]
type = "fixed"
parent = "beam"
child = "tip"
at = [230, 0, 0]
"""
    text = two("hold", "hold") + tip
    many, few = (each.pairs for each in report(text, LEVEL * 2).drives)
    assert many > few > 0
    monkeypatch.setattr(loss, "FALL_PAIRS", few)
    assert [each.touches is None for each in report(text, LEVEL * 2).drives] == [True, False]
    # The falls from the worst poses share in it: what is held here falls there, with no pairs left.
    worst = loss_report(prop_of(two("hold", "hold", friction=0.15)), [255, 128], worst=[LEVEL * 2, None])
    assert worst.worst[0] is not None
    assert (worst.drives[0].fall.what, worst.drives[1].touches is None) == ("held", False)
    assert worst.worst[0].fall.what == "falls"
    assert worst.worst[0].touches is None


def test_what_overlaps_already_is_not_said_to_fall() -> None:
    wall = BEAM.replace("at = [120, 0, 30]", "at = [120, 0, 130]")
    held = report(f"{wall.replace('friction = 0.05', 'friction = 0.5')}[receiver]\non_loss = 'hold'\n")
    assert "falls-together" not in told(held)
    for lies in (held.all_at_once, held.signal.lies):
        assert lies is not None
        assert (lies.overlap, lies.from_start, lies.fallen) == ((("base", "beam"),),) * 2 + ((),)


def test_what_overlaps_where_drives_rest_is_told_though_the_way_was_not_looked_at(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(loss, "REST_S", inf)
    wall = BEAM.replace("at = [120, 0, 30]", "at = [120, 0, 130]").replace("speed", "rest = 128\nspeed")
    text = f"{wall}[receiver]\non_loss = 'rest'\n"
    late = loss_report(prop_of(text), [200], stop=lambda: True)
    for found in (late, report(text, [200])):
        assert told(found)["loss-strikes"] == "warning"
        assert len([each for each in found.findings if each.code == "loss-strikes"]) == 1
        assert found.signal.lies is not None
        assert (found.signal.lies.from_start, found.signal.lies.fallen) == ((), ())


def test_where_no_pair_is_judged_nothing_is_said_to_be_clear(tmp_path: Path) -> None:
    drawn = BEAM.replace("150]}", "150], solid = false}").replace("30]}", "30], solid = false}")
    (tmp_path / "prop.toml").write_text(f"{drawn}[receiver]\non_loss = 'rest'\n")
    (tilt,) = loss_report(posekit.load(tmp_path), LEVEL).drives
    assert (tilt.fall.what, tilt.pairs, tilt.as_dict()["pairs"]) == ("falls", 0, 0)
    said = CliRunner().invoke(main, ["power", str(tmp_path), "--from", "@high"]).output
    assert "no pair is judged" in said
    assert "clear" not in said
    assert "nothing missed" not in said


def test_a_budget_that_is_used_up_leaves_nothing_called_checked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(loss, "REST_S", -1.0)
    (tmp_path / "prop.toml").write_text(f"{BEAM}[receiver]\non_loss = 'release'\n")
    said = CliRunner().invoke(main, ["power", str(tmp_path), "--budget", "0"]).output
    assert "1 pair is watched" in said
    assert "checked" not in said
    assert said.count("comes to rest with  not looked for") == 2
    assert said.count("overlap there       not looked for") == 2
    assert "still falling" not in said
    assert "tilt was not looked at before time ran out" in " ".join(said.split()).replace("tilt:", "tilt")


@pytest.mark.parametrize(
    ("begin", "then"), [("@low", "at the end of its servo's travel"), ("@middle", "stop of tilt")]
)
def test_what_it_leans_on_is_named(tmp_path: Path, begin: str, then: str) -> None:
    """Weight on the other side, so that it falls up: it stands at an end of the travel, or at a stop."""
    text = BEAM.replace('child = "beam"', 'child = "beam"\ntorque = 2.0')
    text = text.replace("speed = 100", "speed = 100\npulse = {low = 2500, high = 500}")
    if begin == "@middle":
        text = text.replace("axis = [0, -1, 0]", "axis = [0, -1, 0]\nstops = [-90, 0]")
    (tmp_path / "prop.toml").write_text(text)
    said = CliRunner().invoke(main, ["power", str(tmp_path), "--from", begin]).output
    assert f"stays {then}" in said or f"stays at the hard {then}" in said, said


def test_past_a_dead_point_nothing_is_said_to_be_clear(capsys: pytest.CaptureFixture[str]) -> None:
    """A shaft that its part pushes to where crank and coupler are in line: either branch may follow."""
    bars = "crank = 30.0\ncoupler = 30.0\nrocker = 40.0\nground = 70.0\nshaft_zero = 90.0\n"
    text = BEAM.replace(", {box = [20, 20, 60], at = [120, 0, 30]}", "").replace(
        'child = "beam"', 'child = "beam"\ntorque = 3.0'
    )
    linked = f"{text}[drives.tilt.linkage]\ntype = 'four_bar'\n{bars}"
    found = report(linked, [90])
    assert found.drives[0].fall.what == "falls"
    assert found.drives[0].fall.end == "dead point"
    assert found.all_at_once.dead == ("tilt",)
    said = [each for each in found.findings if each.code == "fall-past-dead-point"]
    assert [each.subject for each in said] == ["tilt", "tilt"]
    assert all("either branch may follow" in each.message for each in said)
    print_losses(found, "here")
    printed = capsys.readouterr().out
    assert "at a dead point of its linkage, and may go on" in printed
    assert "✓ clear as far as a dead point" in printed
    # There already, it leans on nothing.
    print_losses(report(linked), "there")
    assert "stays at a dead point of its linkage, and may go on" in capsys.readouterr().out


def test_what_is_too_close_to_tell_may_strike() -> None:
    touch = letting_go.Touch(("base", "beam"), "open", -20.0, {"tilt": -20.0}, swinging=False, at_once=False)
    each = replace(report().drives[0], touches=(touch,))
    (said,) = falling_findings(prop_of(BEAM), each)
    assert "beam may strike base at tilt -20.0 deg" in said.message


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ([[1, 2]], "one for each drive"),
        ([[128]], "(1,), one for each drive"),
        ([300], "tilt = 300"),
        ([-5], "its values go from 0 to 255"),
        ([float("nan")], "= nan"),
        (["high"], "not an array of numbers"),
    ],
)
def test_what_are_no_values_of_its_drives_is_refused(values: list[float], told: str) -> None:
    with pytest.raises(PosekitError) as refused:
        loss_report(prop_of(BEAM), values)
    assert told in str(refused.value)
