"""Shows of cues."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from posekit.errors import PosekitError
from posekit.motion import follow
from posekit.motion.readings import drive_readings
from posekit.stream import cue_file
from posekit.stream.cues import Cue, CueList, render
from tests.motion.props import arm

LOOK = b"universe,address,value\n1,1,200\n"

TEXT = """
format = 1
name = "Two cues"
rate = 10
[[cues]]
name = "up"
look = "looks/up.csv"
fade = 1.0
hold = 0.5
[[cues]]
name = "out"
values = {slide = 65535}
fade = 2.0
"""


def read(text, files=None):
    return cue_file.read(arm(files=files), text.encode(), "shows/two.toml")


@given(
    st.lists(
        st.dictionaries(st.sampled_from([1, 3, 4, 9]), st.integers(0, 255), min_size=1),
        min_size=1,
        max_size=6,
    )
)
def test_cues_of_any_slots_leave_every_other_slot_as_it_was(given_slots):
    prop = arm()
    cues = [
        Cue(name="", text=", ".join(f"1/{slot}@{value}" for slot, value in slots.items()), fade=1.0)
        for slots in given_slots
    ]
    show = render(prop, CueList(name="", cues=tuple(cues), rate=1.0))
    shoulder, slide = (drive.rest_value for drive in prop.drives)
    universe = {1: shoulder, 3: slide >> 8, 4: slide & 255}
    sent = []
    for slots in given_slots:
        universe |= slots
        sent.append([universe[1], universe[3] << 8 | universe[4]])
    # At the first frame all stands at rest; each cue is there after its fade.
    np.testing.assert_array_equal(show.values[1:], sent)


def test_a_fade_is_linear_in_the_values_from_rest_and_what_a_cue_does_not_name_stays():
    show = read(TEXT, {"looks/up.csv": LOOK})
    assert show.name == "Two cues"
    np.testing.assert_allclose(show.times, np.arange(36) / 10)
    shoulder = [128 + 7.2 * k for k in range(11)] + [200] * 25
    np.testing.assert_array_equal(show.values[:, 0], np.floor(np.array(shoulder) + 0.5))
    slide = [32768] * 15 + [32768 + 32767 * k / 20 for k in range(21)]
    np.testing.assert_array_equal(show.values[:, 1], np.floor(np.array(slide) + 0.5))


def test_a_cue_without_fade_is_there_at_its_first_frame():
    cues = (Cue(name="a", values={"shoulder": 7}, hold=0.1), Cue(name="b", values={"shoulder": 9}, hold=0.1))
    show = render(arm(), CueList(name="jump", cues=cues, rate=20))
    np.testing.assert_array_equal(show.values[:, 0], [128, 7, 9, 9, 9])
    np.testing.assert_allclose(show.times, np.arange(5) / 20)


@pytest.mark.parametrize("hold", [0.0, 1.0])
def test_the_way_from_rest_to_a_first_cue_without_fade_is_part_of_the_motion(hold):
    prop = arm()
    cue_list = CueList(name="jump", cues=(Cue(name="a", values={"shoulder": 255}, hold=hold),), rate=20)
    show = render(prop, cue_list)
    np.testing.assert_array_equal(show.values[:2], [[128, 32768], [255, 32768]])
    assert show.duration == pytest.approx(max(hold, 1 / 20))
    shoulder = drive_readings(prop, follow(prop, show.times, show.values))[0]
    # 45 deg at 120 deg/s and 600 deg/s2: T = D/v + v/a = 0.575 s.
    assert (shoulder.stops, shoulder.lag_at) == (1, 0.05)
    assert (shoulder.lag_s, shoulder.top_speed) == pytest.approx((0.575, 120.0))


def test_cues_that_start_on_a_frame_start_with_it_however_many_went_before():
    cues = tuple(Cue(name=str(k), values={"shoulder": k % 256}, hold=0.1) for k in range(2000))
    show = render(arm(), CueList(name="steps", cues=cues, rate=10))
    np.testing.assert_array_equal(show.values[1:-1, 0], np.arange(1, 2000) % 256)


@given(
    st.lists(
        st.tuples(st.integers(0, 255), st.integers(0, 65535), st.floats(0, 3), st.floats(0, 1)),
        min_size=1,
        max_size=6,
    ),
    st.floats(1, 44),
)
def test_every_frame_has_values_that_exist_between_the_looks_around_it(cues, rate):
    made = tuple(
        Cue(name="c", values={"shoulder": a, "slide": b}, fade=fade, hold=hold) for a, b, fade, hold in cues
    )
    show = render(arm(), CueList(name="any", cues=made, rate=rate))
    np.testing.assert_array_equal(show.values, np.rint(show.values))
    assert show.values.min() >= 0
    assert np.all(show.values.max(axis=0) <= [255, 65535])
    np.testing.assert_array_equal(show.values[-1], [cues[-1][0], cues[-1][1]])
    assert np.all(np.diff(show.times) > 0)
    assert show.duration == pytest.approx(sum(c[2] + c[3] for c in cues), abs=1 / rate + 1e-6)


def test_each_way_to_say_what_a_cue_is_reads_as_it_is_written():
    text = """
    format = 1
    name = "Kept"
    rate = 40
    cues = [
        {name = "a", look = "looks/up.csv", fade = 2.0, hold = 1.5},
        {name = 'b "quoted"', values = {shoulder = 3, slide = 60000}},
        {name = "c", text = "1/1@50%"},
    ]
    """
    cues = (
        Cue(name="a", look="looks/up.csv", fade=2.0, hold=1.5),
        Cue(name='b "quoted"', values={"shoulder": 3, "slide": 60000}),
        Cue(name="c", text="1/1@50%"),
    )
    read_back = cue_file.parse(text.encode(), "kept.toml")[0]
    assert read_back == CueList(name="Kept", rate=40.0, cues=cues)


def refusal(text, files=None):
    with pytest.raises(PosekitError) as refused:
        read(text, files)
    return [(f.code, f.subject, f.line) for f in refused.value.findings], str(refused.value)


def test_every_problem_of_a_cue_file_is_told_with_its_line():
    found, text = refusal(
        TEXT.replace("format = 1", "format = 2").replace("fade = 2.0", "fade = -2.0\ncolour = 1")
    )
    assert sorted(found) == [
        ("out-of-range", "cues[1].fade", 13),
        ("unknown-key", "cues[1].colour", 14),
        ("wrong-format", "format", 2),
    ]
    assert "shows/two.toml:13: cues[1].fade = -2: use 0 or more (s)" in text


def test_what_the_prop_does_not_have_is_told_with_its_place():
    found, text = refusal(TEXT.replace("slide = 65535", "slide = 65536, tail = 3"))
    assert found == [
        ("unknown-look", "cues[0].look", 7),
        ("out-of-range", "cues[1].values.slide", 12),
        ("unknown-drive", "cues[1].values.tail", 12),
    ]
    assert "use 0 to 65535" in text and "drives: shoulder, slide" in text


def test_a_rate_that_the_universe_cannot_have_is_refused():
    # 512 slots: 44.0995 Hz, ANSI E1.11 clause 8.
    far = arm().text.replace("address = 3", "address = 511")
    with pytest.raises(PosekitError, match=r"rate = 45: universe 1 needs 512 slots, .* 44\.10 Hz at most"):
        cue_file.read(arm(far), b"format = 1\nrate = 45\n[[cues]]\nname = 'a'\nvalues = {}\n", "fast.toml")


@pytest.mark.parametrize(
    "cue", ["", "look = 'a'\nvalues = {}", "values = 3", "values = {shoulder = 1.5}", "text = '1/1@300'"]
)
def test_a_cue_that_does_not_say_one_look_is_refused(cue):
    with pytest.raises(PosekitError, match=r"odd\.toml:\d: cues\[0\]"):
        cue_file.read(arm(), f"format = 1\n[[cues]]\nname = 'a'\n{cue}\n".encode(), "odd.toml")


@pytest.mark.parametrize("content", [b"\xff\xfe", b"format = ", b"format = 1\ncues = 3", b"format = 1"])
def test_a_file_that_is_no_cue_list_is_refused_by_name(content):
    with pytest.raises(PosekitError) as refused:
        cue_file.read(arm(), content, "odd.toml")
    assert all(finding.file == "odd.toml" for finding in refused.value.findings)


@pytest.mark.parametrize("rate", ["0", "0.99", "5e-324"])
def test_a_rate_below_one_frame_a_second_is_refused(rate):
    """E1.11: a transmitter sends a packet a second at least."""
    text = f"format = 1\nrate = {rate}\n[[cues]]\nname = 'a'\nvalues = {{}}\n"
    with pytest.raises(PosekitError, match=r"rate = .*1 or more"):
        cue_file.read(arm(), text.encode(), "slow.toml")
