"""Falls and lost values through the door: what the page is told is what the library finds, with poses to look at."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.bridge import picture
from posekit.bridge.loss_desk import LossDesk
from posekit.bridge.loss_views import LossView
from posekit.bridge.workbench import Workbench
from posekit.errors import PosekitError
from posekit.mechanism.joints import solve
from posekit.report import loss
from posekit.report.loss import loss_report
from posekit.report.loss_words import NO_ORDER, fall_row, lying_rows, signal_rows
from tests.conftest import demo_prop, prop_of
from tests.report.test_loss import two
from tests.report.test_power import arm


def desk_of(prop: posekit.Prop) -> LossDesk:
    workbench = Workbench()
    workbench.open({**prop.files, "prop.toml": prop.text.encode()}, "arm")
    return LossDesk(workbench)


def finished(desk: LossDesk, view: LossView) -> LossView:
    while view.phase != "done":
        view = desk.lose_on(0.0)
    return view


def test_each_servo_is_told_as_the_report_tells_it_and_its_rest_can_be_drawn() -> None:
    prop = prop_of(arm(stall=0.3).text.replace("friction = 0.05\n", ""))
    values = {drive.name: 200 for drive in prop.drives}
    desk = desk_of(prop)
    view = desk.lose(values, {})
    shares, counts = [view.share], [len(view.drives)]
    while view.phase != "done":
        view = desk.lose_on(0.0)
        shares.append(view.share)
        counts.append(len(view.drives))
    assert shares == sorted(shares) and shares[-1] == 1.0 and counts == sorted(counts)
    report = loss_report(prop, [200] * len(prop.drives))
    assert [(each.drive, each.then, each.goes, each.rests, each.way) for each in view.drives] == [
        fall_row(prop, each) for each in report.drives
    ]
    assert any(each.falls for each in view.drives)
    for told, each in zip(view.drives, report.drives, strict=True):
        if told.rest is None:
            assert not told.falls
            continue
        links = posekit.forward(prop, solve(prop, each.fall.rest[None]).position)[0]
        np.testing.assert_allclose(view.links[told.rest], picture.matrices(links), atol=1e-6)
    assert view.signal == signal_rows(report)
    assert {finding.message for finding in view.findings} == {each.message for each in report.findings}


def test_a_heron_tells_what_falls_and_of_those_that_may_not_sleep_where_they_hold_most() -> None:
    prop = demo_prop("heron")
    middle = {drive.name: drive.middle for drive in prop.drives}
    most = {"head_turn": {drive.name: drive.full_scale for drive in prop.drives}}
    desk = desk_of(prop)
    view = finished(desk, desk.lose(middle, most))
    report = loss_report(
        prop,
        list(middle.values()),
        worst=[
            [each.full_scale for each in prop.drives] if own.name == "head_turn" else None
            for own in prop.drives
        ],
    )
    (worst,) = (each for each in report.worst if each is not None)
    (told,) = view.worst
    assert (told.drive, told.then, told.goes, told.rests, told.way) == fall_row(prop, worst)
    assert told.values == most["head_turn"]
    assert all((each.struck is not None) == each.strikes for each in (*view.drives, *view.worst))
    assert view.all_at_once is not None and view.all_at_once.rest is not None
    assert view.all_at_once.rest < len(view.links)
    assert view.links.shape[1:] == (len(prop.links), 16)


def test_what_is_held_here_and_strikes_from_where_it_holds_most_is_drawn_there() -> None:
    """Upright, friction holds the beam; level it does not, and the post is in its way at some 45 degrees."""
    prop = prop_of(two("hold", "hold", friction=0.15))
    values = {"tilt": 255, "other": 128}
    level = {drive.name: 128 for drive in prop.drives}
    desk = desk_of(prop)
    view = finished(desk, desk.lose(values, {"tilt": level}))
    assert not view.drives[0].falls
    (told,) = view.worst
    assert (told.drive, told.falls, told.strikes, told.values) == ("tilt", True, True, level)
    assert told.struck is not None and told.rest is not None
    (worst,) = (each for each in loss_report(prop, [255, 128], worst=[[128, 128], None]).worst if each)
    assert worst.touches is not None
    shaft = np.array([worst.touches[0].shaft_deg, worst.fall.start[1]])
    links = posekit.forward(prop, solve(prop, shaft[None]).position)[0]
    np.testing.assert_allclose(view.links[told.struck], picture.matrices(links), atol=1e-6)


def test_a_look_that_is_stopped_says_what_was_not_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(loss, "REST_S", np.inf)  # however busy the machine is
    prop = prop_of(arm().text.replace("friction = 0.05\n", ""))
    desk = desk_of(prop)
    desk.lose({drive.name: 200 for drive in prop.drives}, {})
    view = finished(desk, desk.lose_stop())
    assert view.stopped and view.phase == "done"
    late = [each for each in view.drives[1:] if each.falls]
    assert late and all(each.way == "not looked at" for each in late)
    # Where all comes to rest is told all the same, and can be drawn.
    report = loss_report(prop, [200] * len(prop.drives))
    assert view.all_at_once is not None and view.all_at_once.rest is not None
    assert view.all_at_once.rows == lying_rows(report, report.all_at_once, NO_ORDER)
    assert not {"still-falling", "rest-not-looked-for"} & {each.code for each in view.findings}


def test_how_all_comes_to_rest_is_not_waited_for_either_once_it_is_stopped(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(loss, "REST_S", -1.0)
    prop = prop_of(arm().text.replace("friction = 0.05\n", ""))
    desk = desk_of(prop)
    desk.lose({drive.name: 200 for drive in prop.drives}, {})
    view = finished(desk, desk.lose_stop())
    assert view.stopped and view.all_at_once is not None and view.all_at_once.rest is None
    assert "rest-not-looked-for" in {each.code for each in view.findings}
    # Nor is how those fall that were not worked out by then: they are listed, and nothing is said of them.
    assert [each.drive for each in view.drives] == [drive.name for drive in prop.drives]
    late = [each for each in view.drives if not each.known]
    assert late and not any(each.falls for each in late)
    assert {each.then for each in late} == {"not looked at"}


def test_nothing_goes_on_that_was_not_begun() -> None:
    desk = desk_of(arm())
    with pytest.raises(PosekitError, match="no look at what falls"):
        desk.lose_on(0.0)
    finished(desk, desk.lose({}, {}))
    with pytest.raises(PosekitError, match="no look at what falls"):
        desk.lose_stop()
