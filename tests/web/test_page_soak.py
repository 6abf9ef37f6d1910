"""An hour-long show in the page: it streams, and nothing piles up.

POSEKIT_SOAK_SECONDS sets how long it plays; longer is stricter, because the least growth shows then.
"""

from __future__ import annotations

import os
import random
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.conftest import demo_prop

pytestmark = [pytest.mark.page, pytest.mark.own_page]

HERON = demo_prop("heron")
SECONDS = float(os.environ.get("POSEKIT_SOAK_SECONDS", "30"))
WARM = 15  # s, until caches of the browser are filled
RATE = "60"  # an hour in a minute
MB = 1e6


def hour() -> bytes:
    """An hour of cues: every 6 s another pose of all drives."""
    chance = random.Random(5)
    cues = [
        f'[[cues]]\nname = "{number}"\nfade = 4.0\nhold = 2.0\nvalues = {{'
        + ", ".join(f"{drive.name} = {chance.randint(0, drive.full_scale)}" for drive in HERON.drives)
        + "}\n"
        for number in range(600)
    ]
    return "\n".join(["format = 1", 'name = "An hour"', "rate = 44", *cues]).encode()


@dataclass(frozen=True)
class Memory:
    """Bytes in use: by JavaScript on the page, and by the browser's process for it, Python's heap and all."""

    javascript: float
    process: float


def memory(bench) -> Memory:
    page = bench.page.context.new_cdp_session(bench.page)
    page.send("HeapProfiler.collectGarbage")
    page.send("Performance.enable")
    metrics = {metric["name"]: metric["value"] for metric in page.send("Performance.getMetrics")["metrics"]}
    page.detach()
    browser = bench.page.context.browser.new_browser_cdp_session()
    found = browser.send("SystemInfo.getProcessInfo")["processInfo"]
    browser.detach()
    return Memory(
        metrics["JSHeapUsedSize"], max(resident(one["id"]) for one in found if one["type"] == "renderer")
    )


def resident(process: int) -> float:
    """Resident bytes of a process; 0 where the system has no /proc."""
    status = Path(f"/proc/{process}/status")
    if not status.exists():
        return 0.0
    (line,) = (line for line in status.read_text().splitlines() if line.startswith("VmRSS:"))
    return float(line.split()[1]) * 1024


@pytest.mark.timeout(SECONDS + 240)
def test_an_hour_long_show_plays_without_memory_growing(bench, profile, record_property) -> None:
    """In a profile of its own: what the browser kept of other pages would be counted, too."""
    bench.drop("hour.toml", hour())
    expect(bench.tab("Motion").get_by_label("Show", exact=True)).to_have_value("shows/hour.toml")
    bench.becomes("() => posekit.play().part?.end > 0", True)
    bench.page.get_by_label("Rate of play").select_option(RATE)
    bench.page.get_by_role("button", name="Loop").click()
    bench.page.get_by_role("button", name="Play", exact=True).click()
    bench.page.wait_for_timeout(WARM * 1000)
    seen = [memory(bench)]
    places = []
    for _ in range(max(round(SECONDS / 15), 2)):
        bench.page.wait_for_timeout(15_000)
        seen.append(memory(bench))
        now = bench.page.evaluate("() => posekit.play()")
        assert now["playing"] and now["held"] <= 180
        places.append(now["time"])
    record_property("memory", [(round(one.javascript / MB, 2), round(one.process / MB, 1)) for one in seen])
    assert len(set(places)) == len(places)  # it did play
    assert max(one.javascript for one in seen[1:]) < seen[0].javascript + 3 * MB
    assert seen[-1].process < 1.1 * seen[0].process + 10 * MB
