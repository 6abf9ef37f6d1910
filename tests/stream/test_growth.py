"""Law: what it takes to read a show grows no faster than the show, whoever made it.

Work is counted, not timed: the lines of posekit that run. So the law holds on any machine, however busy.
"""

from __future__ import annotations

from contextlib import suppress

import pytest

from posekit.errors import PosekitError
from posekit.stream.reader import read_show
from tests.counted import lines_run
from tests.motion.props import arm
from tests.stream.packets import data, ethernet, pcap, sync

SMALL, TIMES = 150, 4
HEADER = "time,universe,address,value\n"


def lines_to_read(name, content):
    """How many lines run while a show is read."""
    prop = arm()

    def read():
        with suppress(PosekitError):
            read_show(prop, content, name)

    return lines_run(read)


def capture(packets):
    return pcap([(time, ethernet(octets)) for time, octets in packets])


def cid(k):
    return k.to_bytes(16, "big")


def universes_that_wait(n):
    sent = [(0.0, sync(9))]
    for k in range(n):
        sent += [(0.0, data(universe=1 + k, slots=b"\1", sync=9)), (0.0, sync(9, sequence=(k + 1) % 256))]
    return capture(sent)


def sources_that_come_and_go(n):
    return capture([(0.1 * k, data(slots=bytes([k % 256]), cid=cid(k), name=f"{k}")) for k in range(n)])


KINDS = {
    "sources of one universe": lambda n: capture(
        [(0.0, data(slots=bytes([k % 256]), cid=cid(k), name=f"{k}")) for k in range(n)]
    ),
    "sources that come and go": sources_that_come_and_go,
    "universes": lambda n: capture([(0.0, data(universe=1 + k, slots=b"\1")) for k in range(n)]),
    "universes that wait": universes_that_wait,
    "farewells": lambda n: capture(
        [(0.0, data(slots=b"\1", sequence=k % 256, options=0x40 * (k % 2))) for k in range(n)]
    ),
    "bad packets": lambda n: capture([(0.0, data()[:-1]) for _ in range(n)]),
    "rows": lambda n: (HEADER + "".join(f"{k},1,1,{k % 256}\n" for k in range(n))).encode(),
    "bad rows": lambda n: (HEADER + "x\n" * n).encode(),
    "rows of unused addresses": lambda n: (HEADER + "".join(f"0,{2 + k},1,1\n" for k in range(n))).encode(),
    "cues": lambda n: ("format = 1\n" + '[[cues]]\nname = "a"\ntext = "1/1@5"\n' * n).encode(),
    "cues of unknown drives": lambda n: (
        "format = 1\n" + '[[cues]]\nname = "a"\nvalues = {jaw = 3}\n' * n
    ).encode(),
}


@pytest.mark.parametrize("kind", KINDS)
def test_to_read_a_show_takes_work_that_grows_no_faster_than_it(kind):
    name = "show.toml" if kind.startswith("cues") else "show.csv" if "rows" in kind else "show.pcap"
    few, many = (lines_to_read(name, KINDS[kind](n)) for n in (SMALL, TIMES * SMALL))
    assert many <= 1.25 * TIMES * few
