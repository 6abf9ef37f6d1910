"""A pair that keeps apart, but not by the margin, in the page: said with sign and word, with values to look at."""

from __future__ import annotations

from pathlib import Path

import pytest

import posekit
from posekit.text import downward

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

CROSSING = (Path(__file__).parents[1] / "cases" / "valid" / "two_arms.toml").read_text()
# Two arms, 50 mm apart where they stand upright, that lean a little: never as near as to strike.
HELD = CROSSING.replace("address = 1", "address = 1\npulse = {low = 1490, high = 1510}").replace(
    "address = 2", "address = 2\npulse = {low = 1490, high = 1510}"
)
ARMS = (HELD + "[clearance]\nmargin = 60.0\n").encode()


def test_a_pair_nearer_than_the_margin_is_near_and_never_clear(bench, shot) -> None:
    (verdict,) = posekit.clearance.envelope(posekit.read({"prop.toml": ARMS}), resolution=2.0).pairs
    assert verdict.verdict == "near"
    bench.drop("two_arms.toml", ARMS)
    bench.page.get_by_role("heading", name="Two arms").wait_for()
    panel = bench.tab("Clearance")
    panel.get_by_role("button", name="Check every pair").click()
    panel.get_by_text("Done: 1 of 1 pairs").wait_for()
    panel.get_by_text("1 pair: 0 clear, 1 near, 0 strike, 0 open;").wait_for()
    group = panel.locator("summary", has_text="1 near: closer than the margin of 60 mm")
    assert group.locator("svg").count() == 1, "colour never carries meaning alone"
    panel.get_by_text(f"{downward(verdict.clear_by_mm)} mm apart or more, proved").wait_for()
    assert panel.get_by_text("clear, proved").count() == 0
    panel.get_by_role("button", name="Show left and right closest").click()
    for name, value in verdict.witness.items():
        bench.becomes(f"() => posekit.work().values['{name}']", value)
    panel.get_by_role("button", name="Map of left and right").click()
    panel.locator(".map svg").wait_for()
    assert "margin 60 mm" in panel.locator(".map svg").inner_html()
    shot(bench, "near_in_the_envelope")
