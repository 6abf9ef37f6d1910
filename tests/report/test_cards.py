"""Setting cards: what is drawn, timed and watched for, against the core's other answers."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree as Xml

import numpy as np
import pytest

import posekit
from posekit.errors import PosekitError
from posekit.report.cards import card_steps, cards
from posekit.report.cards_document import cards_html, cards_markdown, watch_lines
from posekit.report.steps import TimedStep, nearest_steps, read_steps
from tests.conftest import demo_prop

HERON = Path(__file__).parents[2] / "models" / "heron"


@pytest.fixture(scope="module")
def made():
    prop = demo_prop("heron")
    return prop, cards(prop)


def test_a_pointer_turns_as_its_joint_does(made) -> None:
    prop, found = made
    assert [card.drive for card in found.cards] == [drive.name for drive in prop.drives]
    for card in found.cards:
        tips = card.view.tips - card.view.pivot
        turn = np.degrees(np.arctan2(tips[:, 1], tips[:, 0]))
        middle, low, high = turn
        wanted = np.array(card.positions)[[0, 2]] - card.positions[1]
        off = (np.array([low, high]) - middle - wanted + 180) % 360 - 180
        assert np.abs(off).max() < 0.01, card.drive
        assert all(card.view.moves) and card.view.pivot.min() >= 0 and card.view.pivot.max() <= 1


def test_progress_counts_the_cards_one_by_one() -> None:
    arm = posekit.read(
        {"prop.toml": (HERON.parents[1] / "tests" / "cases" / "valid" / "arm.toml").read_bytes()}
    )
    course, seen = card_steps(arm), []
    with pytest.raises(StopIteration) as finished:
        for _ in range(100):
            seen.append(next(course))
    assert seen == list(range(len(arm.drives))) and len(finished.value.value.cards) == len(arm.drives)


def test_a_card_of_a_linkage_of_several_drives_is_of_a_joint_that_its_drive_moves() -> None:
    cases = HERON.parents[1] / "tests" / "cases" / "valid"
    prop = posekit.read({"prop.toml": (cases / "every_key.toml").read_bytes()})
    found = {card.drive: card for card in cards(prop).cards}
    for name in ("neck_a", "neck_b", "lantern", "lantern_middle", "lantern_inner"):
        low, _, high = found[name].positions
        assert abs(high - low) > 1.0, name
        assert all(end.step > 0 for end in found[name].ends)


def test_one_looks_from_where_the_axis_comes(made) -> None:
    seen = {card.drive: card.view.seen_from for card in made[1].cards}
    assert (seen["neck_base"], seen["head_turn"], seen["wing_left"]) == ("the left", "above", "the front")


def test_times_and_ends_are_those_of_the_core(made) -> None:
    prop, found = made
    for d, card in enumerate(found.cards):
        values = np.tile([drive.rest_value for drive in prop.drives], (2, 1))
        values[:, d] = [0, prop.drives[d].full_scale]
        motion = posekit.motion.follow(prop, [0.0, 1e-9], values)
        goal = motion.target[motion.first[d + 1] - 1]
        before, after = motion.position(np.array([-1e-6, 1e-6]) + card.setting.times.whole_s + 1e-9)[:, d]
        assert abs(before - goal) > 0.0 and after == pytest.approx(goal, abs=1e-9)
        for end, position in zip(card.ends, (card.positions[0], card.positions[2]), strict=True):
            assert end.position == pytest.approx(position)
    neck = found.cards[0].ends[0]
    assert (neck.kind, neck.after) == ("stop", pytest.approx(5.0, abs=0.01))  # stops at -50, ends at -45
    assert any("meets" in line for line in watch_lines(found.cards[6]))


def test_the_paper_holds_a_whole_picture_for_each_position(made) -> None:
    page = cards_html(made[1], "2026-11-26").decode()
    assert page.count("<svg") == 3 * len(made[1].cards) and page.count('class="card"') == len(made[1].cards)
    for piece in page.split("<svg")[1:]:
        svg = Xml.fromstring("<svg" + piece.split("</svg>")[0] + "</svg>")
        assert svg.get("role") == "img" and svg.get("aria-label")
    text = cards_markdown(made[1], "2026-11-26")
    assert "half way passed at: 0.80 s" in text and "posekit envelope proves" in text


def test_the_nearest_step_is_told_for_the_drive_and_for_others_with_its_servo() -> None:
    prop = demo_prop("heron")
    rows = "drive,setting,step,seconds\n" + "".join(
        # 193.455 degrees under 420 deg/s2: t = D/v + v/a for v = 10 step.
        f"neck_base,speed,{step},{193.455 / (10 * step) + 10 * step / 420}\n"
        for step in (2, 6, 10, 14, 20)
    )
    steps, findings = nearest_steps(prop, read_steps(rows.encode(), "steps.csv"))
    told = {step.drive: step for step in steps}
    assert set(told) == {"neck_base", "neck_middle"} and not findings
    assert (told["neck_base"].step, told["neck_base"].wanted) == (16, 160.0)
    assert told["neck_middle"].step == 18 and told["neck_middle"].of == ("neck_base",)
    assert told["neck_base"].law == "a straight line" and not told["neck_base"].at_edge
    far = [TimedStep("neck_base", "speed", step, 20.0 / step) for step in (1, 2)]
    assert nearest_steps(prop, far)[0][0].at_edge


def test_times_that_cannot_be_are_told() -> None:
    prop = demo_prop("heron")
    typed = [
        TimedStep("beak", "speed", 3, 0.01),
        TimedStep("beak", "speed", 4, 0.5),
        TimedStep("tail", "speed", 1, 1.0),
    ]
    steps, findings = nearest_steps(prop, typed)
    assert not steps
    assert sorted(f.code for f in findings) == ["time-too-short", "too-few-steps", "unknown-drive"]
    bad = "drive,setting,step,seconds\nbeak,speed,x,1\nbeak,gain,1,1\nbeak,speed,1,-2\nbeak,speed,1\nbeak,speed,1,nan\n"
    with pytest.raises(PosekitError) as refused:
        read_steps(bad.encode(), "steps.csv")
    assert [finding.line for finding in refused.value.findings] == [2, 3, 4, 5, 6]
