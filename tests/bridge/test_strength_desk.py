"""Strength through the door: what the page is told is what the library finds, and sorted by the common rule."""

from __future__ import annotations

from collections.abc import Generator

import numpy as np
import pytest

import posekit
from posekit.bridge import strength_desk
from posekit.bridge.strength_desk import StrengthDesk
from posekit.bridge.strength_views import ProofView
from posekit.bridge.workbench import Workbench
from posekit.errors import PosekitError
from posekit.prop.beside import all_files
from posekit.report import power
from posekit.report.held import Load, load_of, most_strained
from posekit.report.power import CAUTION, power_report
from posekit.statics import over_show, shaft_torques
from posekit.stream import read_show
from tests.conftest import DEMO_PROPS_AT_LENGTH, demo_prop, prop_of
from tests.counted import lines_run
from tests.report.test_power import SWING, arm

SHOW = "shows/swing.toml"


def desk_of(prop: posekit.Prop) -> StrengthDesk:
    workbench = Workbench()
    workbench.open({"prop.toml": prop.text.encode(), SHOW: SWING}, "arm")
    return StrengthDesk(workbench)


def finished(desk: StrengthDesk, *show: str) -> ProofView:
    view = desk.prove(*show)
    while view.phase != "done":
        view = desk.prove_on(0.0)
    return view


@pytest.mark.parametrize(
    ("torque", "stall", "load"),
    [
        (0.3, 1.0, Load(0.3, 0.3, 0.3, "cool")),  # up to a third to a half of stall torque: common practice
        (-0.4, 1.0, Load(-0.4, 0.4, 0.4, "warm")),
        (0.6, 1.0, Load(0.6, 0.6, 0.6, "hot")),
        (3.0, 2.0, Load(3.0, 1.5, 1.0, "stalls")),
        (-np.inf, 2.0, Load(None, None, 1.0, "stalls")),
        (0.3, None, Load(0.3, None, 0.0, "unknown")),
    ],
)
def test_a_load_is_sorted_by_its_share_of_the_stall_torque(
    torque: float, stall: float | None, load: Load
) -> None:
    assert load_of(torque, stall) == load


def test_the_worst_is_the_nearest_to_its_stall_torque_and_none_where_there_is_nothing_to_hold() -> None:
    assert most_strained([load_of(0.5, 1.0), load_of(0.4, 0.5), load_of(0.9, None)]) == 1
    assert most_strained([load_of(0.9, 1.0), load_of(np.inf, 1.0)]) == 1
    assert most_strained([load_of(1e-6, 1.0), load_of(0.0, 1.0)]) is None


def test_bars_of_a_pose_are_the_torques_of_the_library_against_stall_at_the_voltage() -> None:
    prop = arm(stall=0.45)
    desk = desk_of(prop)
    values = {"shoulder": 200, "elbow": 20}
    torques = shaft_torques(prop, [[200, 20]])[0]
    held, told = desk.held(values), desk.strength()
    assert [load.torque_nm for load in held.loads] == pytest.approx(torques)
    assert [load.share for load in held.loads] == pytest.approx(np.abs(torques) / 0.45)
    assert held.worst == "shoulder"
    assert told.volts == (6.0, 6.0) and told.stall_nm == (0.45, 0.45)
    assert told.scale == ((0.0, "0"), (1 / 3, "⅓"), (1 / 2, "½"), (1.0, "stall"))
    assert set(told.strains) == {"cool", "warm", "hot", "stalls", "unknown"}
    assert (told.strains["warm"], told.strains["hot"]) == ("over a third", "over half: gets hot")


@pytest.mark.parametrize("model", DEMO_PROPS_AT_LENGTH)
def test_bars_of_one_pose_after_the_other_are_what_the_library_finds_of_each(model: str) -> None:
    workbench = Workbench()
    prop = demo_prop(model)
    workbench.open(all_files(prop), model)
    desk, random = StrengthDesk(workbench), np.random.default_rng(5)
    full = np.array([drive.full_scale for drive in prop.drives])
    row = np.array([drive.rest_value for drive in prop.drives])
    for step in range(40):
        # A channel, none, a pose of which no bars are asked, all at once, another prop in between.
        row = row.copy()
        if step % 4 == 3:
            row = random.integers(0, full + 1)
        elif step % 4:
            d = random.integers(len(full))
            row[d] = random.integers(full[d] + 1)
        values = {drive.name: int(value) for drive, value in zip(prop.drives, row, strict=True)}
        workbench.pose(values)
        if step == 20:
            workbench.open(all_files(prop), model)
        if step % 5 == 4:
            continue
        asked = shaft_torques(prop, row[None])[0]
        told = [np.inf if load.torque_nm is None else load.torque_nm for load in desk.held(values).loads]
        np.testing.assert_array_equal(told, np.where(np.isfinite(asked), asked, np.inf))


def test_bars_of_a_pose_that_stands_find_only_what_a_channel_has_moved() -> None:
    workbench = Workbench()
    prop = demo_prop("heron")
    workbench.open(all_files(prop), "heron")
    desk = StrengthDesk(workbench)
    rest = {drive.name: drive.rest_value for drive in prop.drives}
    desk.held(rest)
    moved = {**rest, prop.drives[0].name: 17}
    posing = lines_run(lambda: workbench.pose(moved))
    of_one = lines_run(lambda: desk.held(moved))
    assert lines_run(lambda: workbench.pose(moved)) < 0.6 * posing, "nor does a pose find itself again"
    others = {drive.name: drive.rest_value + 9 for drive in prop.drives}
    workbench.pose(others)
    assert of_one < 0.9 * lines_run(lambda: desk.held(others))


@pytest.mark.parametrize(("volts", "dangers"), [(6.0, []), (4.0, []), (12.0, ["supply-voltage"])])
def test_too_much_voltage_is_a_danger_and_stands_apart_from_cautions(
    volts: float, dangers: list[str]
) -> None:
    told = desk_of(arm(volts=volts)).strength()
    assert [each.code for each in told.dangers] == dangers
    assert ("supply-voltage" in [each.code for each in told.cautions]) is (volts == 4.0)
    assert told.caution == CAUTION


def test_what_the_file_does_not_say_is_named_by_its_key() -> None:
    text = arm().text.replace("friction = 0.05\n", "").replace("stall_current = 2.0\n", "")
    missing = desk_of(prop_of(text)).strength().missing
    assert [(each.code, each.subject) for each in missing] == [
        ("friction-unknown", "servos.s"),
        ("current-unknown", "servos.s"),
    ]


def test_a_proof_in_steps_is_the_report_of_the_library() -> None:
    prop = arm()
    desk = desk_of(prop)
    view = finished(desk, SHOW)
    report = power_report(prop, read_show(prop, SWING, SHOW))
    assert view.show == SHOW and view.worst == "shoulder"
    for shown, each in zip(view.drives, report.drives, strict=True):
        assert (shown.most.torque_nm, shown.most.share) == (each.holding.most_nm, each.share)
        assert tuple(shown.values.values()) == each.holding.values
        assert shown.may_sleep is each.may_sleep and shown.near
        assert shown.moving is not None
        assert (shown.moving.peak.torque_nm, shown.moving.peak_at_s) == (each.peak_nm, each.peak_at_s)
        assert shown.moving.rms.torque_nm == each.rms_nm
    assert [each.code for each in view.findings] == [each.code for each in report.findings]
    ((name, rows),) = ((supply.name, dict(supply.rows)) for supply in view.supplies)
    assert name == "supply" and rows["all stalled"] == "4.00 A"


def test_a_proof_tells_of_each_servo_and_is_taken_up_for_a_show() -> None:
    desk = desk_of(arm())
    view = desk.prove()
    assert (view.phase, view.drives, view.of) == ("proving", (), 2)
    while not view.drives:
        assert view.share == 0.0
        view = desk.prove_on(0.0)
    assert ([each.drive for each in view.drives], view.share) == (["shoulder"], 0.5)
    assert [each.drive for each in desk.prove(SHOW).drives] == ["shoulder"]
    assert finished(desk, SHOW).drives[0].moving is not None
    with pytest.raises(PosekitError):
        desk.prove_on(0.0)


@pytest.mark.native
def test_a_proof_that_is_stopped_tells_what_is_proved_and_leaves_out_the_show() -> None:
    prop = demo_prop("longwood")
    workbench = Workbench()
    workbench.open({"prop.toml": prop.text.encode(), **prop.files}, "longwood")
    desk = StrengthDesk(workbench)
    desk.prove(next(file for file in prop.files if file.startswith("shows/")))
    view = desk.prove_stop()
    while view.phase != "done":
        view = desk.prove_on(0.0)
    assert view.stopped and view.show is None and len(view.drives) == len(prop.drives)
    lean = view.drives[0]
    assert lean.cut and not lean.near and lean.moving is None
    assert lean.found_nm is not None
    assert lean.most.torque_nm is None or lean.most.torque_nm > lean.found_nm  # a bound, if a loose one
    # Begun again, none that was cut short counts as proved.
    assert desk.prove().drives == ()


def stopped(desk: StrengthDesk) -> ProofView:
    view = desk.prove_stop()
    while view.phase != "done":
        view = desk.prove_on(0.0)
    assert view.stopped
    return view


def test_a_proof_stopped_while_it_looks_for_what_helps_keeps_the_show_and_what_was_found() -> None:
    prop = arm(stall=0.08)  # too little for either servo
    desk = desk_of(prop)
    whole, view = finished(desk, SHOW), desk.prove(SHOW)
    while (view.phase, view.share) != ("helping", 0.5):
        view = desk.prove_on(0.0)
    view = stopped(desk)
    assert view.show == SHOW and view.drives == whole.drives and not any(each.cut for each in view.drives)
    assert (view.hardest, view.supplies) == (whole.hardest, whole.supplies)
    springs = [
        [each.subject for each in told.findings if "A spring of" in each.text] for told in (whole, view)
    ]
    assert springs == [["shoulder", "elbow"], ["shoulder"]]
    (left_out,) = (each.text for each in view.findings if each.code == "help-left-out")
    assert left_out.endswith(": elbow")


def test_what_helps_is_told_as_not_looked_for_to_the_end_where_the_stop_came_within(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def nothing_yet(*_: object) -> Generator[None, None, str]:
        yield
        return ""

    monkeypatch.setattr(power, "help_steps", nothing_yet)
    desk = desk_of(arm(stall=0.08))
    view = desk.prove()
    while view.phase != "helping":
        view = desk.prove_on(0.0)
    desk.prove_on(0.0)  # within the first
    (left_out,) = (each.text for each in stopped(desk).findings if each.code == "help-left-out")
    assert left_out.endswith(": shoulder, elbow")


def test_a_proof_stopped_within_the_show_leaves_that_out_and_keeps_all_else(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(over_show, "BLOCK", 4)  # instants at a time
    desk = desk_of(arm())
    whole, view = finished(desk), desk.prove(SHOW)
    while view.phase != "moving" or not 0.0 < view.share < 1.0:
        view = desk.prove_on(0.0)
    view = stopped(desk)
    assert view.show is None and view.hardest is None and view.drives == whole.drives
    assert view.findings == whole.findings


def test_the_rounds_of_the_servo_at_which_a_proof_is_stopped_are_kept() -> None:
    prop = demo_prop("longwood")

    def bound(rounds: int) -> float:
        """What is proved of the first servo that takes many rounds, after so many."""
        workbench = Workbench()
        workbench.open({"prop.toml": prop.text.encode(), **prop.files}, "longwood")
        desk = StrengthDesk(workbench)
        view = desk.prove()
        while len(view.drives) < 2:
            view = desk.prove_on(0.0)
        for _ in range(rounds):
            assert len(desk.prove_on(0.0).drives) == 2
        most = stopped(desk).drives[2].most.torque_nm
        assert most is not None
        return most

    assert bound(12) < bound(0)


def test_a_module_that_has_to_be_fetched_first_does_not_end_the_proof(monkeypatch) -> None:
    """As in a page, which fetches what is missing and asks again."""
    desk = desk_of(arm(stall=0.3))
    steps, missing = strength_desk.power_steps, ["trimesh"]

    def fetched(*given):
        for state in steps(*given):
            yield state
            if state.holding and missing:
                raise ModuleNotFoundError(name=missing.pop())
        return power_report(arm(stall=0.3))

    monkeypatch.setattr(strength_desk, "power_steps", fetched)
    desk.prove()
    with pytest.raises(ModuleNotFoundError):
        while True:
            assert desk.prove_on(0.0).phase != "done"
    view = desk.prove_on(0.0)
    while view.phase != "done":
        view = desk.prove_on(0.0)
    assert [each.drive for each in view.drives] == ["shoulder", "elbow"]


def test_a_show_that_is_none_is_refused() -> None:
    with pytest.raises(PosekitError, match="is not a show of this prop"):
        desk_of(arm()).prove("shows/none.toml")
