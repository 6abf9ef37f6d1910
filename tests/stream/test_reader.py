"""Which kind of file is which, how much of it is read, and that to read it takes time no faster than it grows."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from posekit import Snapshot, kinds
from posekit.errors import PosekitError
from posekit.stream import recorded, recorder, show
from posekit.stream.reader import read_show
from tests.motion.props import arm
from tests.stream import packets

ROOT = Path(__file__).parents[2]
CUE = """format = 1
[[cues]]
name = "a"
values = {shoulder = 200}
"""
CONTENT = {
    ".toml": CUE.encode(),
    ".csv": b"time,universe,address,value\n0,1,1,5\n",
    **dict.fromkeys(kinds.CAPTURES, packets.pcap([(0.0, packets.ethernet(packets.data()))])),
}
SNAPSHOT = {".csv": b"universe,address,value\n", ".json": b"{}", ".bin": bytes(512), ".txt": b"1/9@1"}


def codes(refused):
    return [finding.code for finding in refused.value.findings]


@pytest.mark.parametrize("ending", kinds.SHOWS)
def test_every_kind_of_show_that_is_listed_is_read_whatever_the_case_of_its_ending(ending):
    for name in (f"take{ending}", f"TAKE{ending.upper()}", f"C:\\\\shows\\\\take{ending}"):
        assert len(read_show(arm(), CONTENT[ending], name).times) >= 1


@pytest.mark.parametrize("ending", kinds.SNAPSHOTS)
def test_every_kind_of_snapshot_that_is_listed_is_read(ending):
    Snapshot.decode(SNAPSHOT[ending], ending)


@pytest.mark.parametrize("ending", [".dmx", ".mid", "", ".toml.bak"])
def test_what_is_not_listed_is_no_show_and_no_snapshot(ending):
    assert ending not in (*kinds.SHOWS, *kinds.SNAPSHOTS)
    with pytest.raises(PosekitError):
        read_show(arm(), CONTENT[".csv"], f"take{ending}")
    if ending:
        with pytest.raises(PosekitError, match=r"use \.csv"):
            Snapshot.decode(SNAPSHOT[".bin"], ending)


@pytest.mark.native
def test_the_page_names_no_ending_of_a_show_or_snapshot_by_itself():
    """It takes them from the list that Python reads by, so that nothing is offered which is then refused."""
    listed = {*kinds.SHOWS, *kinds.SNAPSHOTS, ".dmx"} - {".toml", ".json", ".csv"}
    for source in (ROOT / "web" / "src").rglob("*.ts"):
        found = set(re.findall(r"\.[a-z]+\b", " ".join(re.findall(r'"[^"\n]*"', source.read_text()))))
        assert source.name == "protocol.ts" or not found & listed, source


@pytest.mark.parametrize("hold", [86400.0, 1300.0])
def test_cues_that_ask_for_more_frames_than_a_show_has_are_refused_before_any_is_made(hold):
    # 830 Hz is what E1.11 lets 24 slots do; a day of it at two drives would be 1.1 GB and as much again to follow.
    text = f"{CUE.replace('[[', 'rate = 830' + chr(10) + '[[')}hold = {hold}\n"
    with pytest.raises(PosekitError) as refused:
        read_show(arm(), text.encode(), "long.toml")
    assert codes(refused) == ["too-many-frames"]
    assert "its rate lower" in refused.value.findings[0].message


def test_a_show_has_fewer_frames_the_more_drives_there_are():
    assert show.most_frames(0) == show.most_frames(1) == show.FRAMES
    assert show.most_frames(500) * 500 <= show.SHOW_VALUES < (show.most_frames(500) + 1) * 500


def test_more_cues_than_a_list_has_are_refused(monkeypatch):
    monkeypatch.setattr("posekit.stream.cue_file.CUES", 2)
    with pytest.raises(PosekitError) as refused:
        read_show(arm(), (CUE + CUE[11:] * 2).encode(), "many.toml")
    assert codes(refused) == ["too-many-cues"]


def test_a_recording_of_too_many_bytes_is_refused_unread(monkeypatch):
    monkeypatch.setattr("posekit.stream.reader.RECORDING_BYTES", 100)
    for name in ("take.csv", "take.pcap"):
        with pytest.raises(PosekitError) as refused:
            read_show(arm(), bytes(101), name)
        assert codes(refused) == ["too-large"]


def test_rows_after_the_most_that_are_read_are_left_out_and_told(monkeypatch):
    monkeypatch.setattr(recorded, "RECORDED_ROWS", 3)
    text = "time,universe,address,value\n" + "".join(f"{k},1,1,{k}\n" for k in range(9))
    made = read_show(arm(), text.encode(), "take.csv")
    assert made.values[:, 0].tolist() == [0, 1, 2]
    found = [(f.level, f.code, f.subject) for f in made.findings if f.level == "error"]
    assert found == [("error", "too-many-rows", "row 5")]


@pytest.mark.parametrize("name", ["take.csv", "take.pcap"])
def test_frames_after_the_most_of_a_show_are_left_out_and_told(name, monkeypatch):
    monkeypatch.setattr(recorder, "most_frames", lambda _: 3)
    rows = "".join(f"{k},1,1,{k}\n" for k in range(9))
    sent = [(k, packets.ethernet(packets.data(slots=bytes([k, 0, 0, 0]), sequence=k))) for k in range(9)]
    content = f"time,universe,address,value\n{rows}".encode() if name == "take.csv" else packets.pcap(sent)
    made = read_show(arm(), content, name)
    assert made.values[:, 0].tolist() == [0, 1, 2]
    assert [(f.level, f.code) for f in made.findings if f.level == "error"] == [("error", "too-many-frames")]
    assert any("after 3.000 s was left out" in f.message for f in made.findings)


def test_a_time_of_more_digits_than_a_number_has_is_no_time():
    made = read_show(arm(), b"time,universe,address,value\n0,1,1,5\n" + b"1" * 33 + b",1,1,6\n", "take.csv")
    assert ("bad-row", "row 3") in [(f.code, f.subject) for f in made.findings]


def test_a_look_that_many_cues_take_is_read_once(monkeypatch):
    read = []
    decode = Snapshot.decode
    monkeypatch.setattr(Snapshot, "decode", lambda *given: read.append(given) or decode(*given))
    cues = "".join(f'[[cues]]\nname = "{k}"\nlook = "looks/a.csv"\nhold = 1\n' for k in range(50))
    prop = arm(files={"looks/a.csv": b"universe,address,value\n1,1,9\n"})
    made = read_show(prop, f"format = 1\n{cues}".encode(), "many.toml")
    assert len(read) == 1 and made.values[-1, 0] == 9
