"""The shows that come with the demo props."""

import pytest

from posekit.motion import follow, readings
from posekit.stream import read_show
from tests.conftest import demo_prop


def shows_of(prop):
    return [path for path in prop.files if path.startswith("shows/")]


def test_every_demo_prop_has_a_show_that_moves_it_without_an_error(demo):
    assert shows_of(demo)
    for path in shows_of(demo):
        show = read_show(demo, demo.files[path], path)
        read = readings(demo, follow(demo, show.times, show.values))
        assert [f for f in (*show.findings, *read.findings) if f.level == "error"] == []
        assert sum(drive.top_speed > 1.0 for drive in read.drives) > len(demo.drives) / 2


def test_the_strike_of_the_heron_is_the_fastest_move_of_its_head():
    heron = demo_prop("heron")
    show = read_show(heron, heron.files["shows/fishing.toml"], "shows/fishing.toml")
    read = readings(heron, follow(heron, show.times, show.values))
    head = next(speed for speed in read.parts if speed.name == "head")
    strike = 3.0 + 1.0 + 0.8 + 1.5 + 0.15 + 1.2 + 6.0 + 2.5
    assert strike < head.at < strike + 0.8
    assert head.speed > 300.0
    # The neck is too heavily geared for half a second: the strike is cut off, and told.
    neck = next(drive for drive in read.drives if drive.drive == "neck_base")
    assert (neck.missed, neck.missed_at) == (1, pytest.approx(strike, abs=1 / 40))
    assert [f.subject for f in read.findings if f.code == "not-arriving"] == ["neck_base"]
