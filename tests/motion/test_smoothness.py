"""More resolution never makes a motion rougher."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from posekit.motion.follow import follow, limits_of
from posekit.motion.segments import segments
from posekit.stream.cues import Cue, CueList, render
from tests.motion.props import ARM, arm

SPAN_US, TRAVEL, RANGE_US = 1000.0, 180.0, 2000.0
HELD = 1.5  # s before the fade; the slowest drive here needs 1.4 s from rest to an end of its range


def plain(bits, speed, acceleration):
    text = ARM.replace(
        "speed = 120.0\nacceleration = 600.0", f"speed = {speed}\nacceleration = {acceleration}"
    )
    return arm(text.replace("address = 1\n", f"address = 1\nbits = {bits}\n") if bits == 16 else text)


def faded(prop, start, end, fade, rate=44.0):
    """The shoulder fades between the same two pulses in every resolution; the motion and its show."""
    full = prop.drives[0].full_scale
    looks = [round(share * 255) * (full // 255) for share in (start, end)]
    cues = (
        Cue(name="from", values={"shoulder": looks[0]}, hold=HELD),
        Cue(name="to", values={"shoulder": looks[1]}, fade=fade, hold=0.5),
    )
    show = render(prop, CueList(name="fade", cues=cues, rate=rate))
    return show, follow(prop, show.times, show.values)


shares = st.floats(0.0, 1.0)


@given(shares, shares, st.floats(0.2, 20.0))
def test_the_steps_within_a_fade_are_never_less_even_in_sixteen_bit(start, end, fade):
    spread = []
    for bits in (8, 16):
        show, motion = faded(plain(bits, 120, 600), start, end, fade)
        within = motion.commanded(show.times[(show.times > HELD) & (show.times < HELD + fade)])[:, 0]
        spread.append(np.ptp(np.diff(within)) if len(within) > 2 else 0.0)
    # Steps of a fade differ by one value: of 16 bits where 8 bits happen to come out even.
    assert spread[1] <= spread[0] + SPAN_US / 65535 * TRAVEL / RANGE_US * 1.01


@given(shares, shares, st.floats(0.5, 20.0), st.floats(60, 300), st.floats(100, 4000))
def test_the_shaft_strays_no_farther_from_the_ideal_line_in_sixteen_bit(
    start, end, fade, speed, acceleration
):
    # The ideal line is the fade without rounding, followed under the same limits.
    strays = []
    for bits in (8, 16):
        prop = plain(bits, speed, acceleration)
        show, motion = faded(prop, start, end, fade)
        full = prop.drives[0].full_scale
        exact = show.values.copy()
        looks = [round(share * 255) * (full // 255) for share in (start, end)]
        share = np.clip((show.times - HELD) / fade, 0.0, 1.0)
        exact[1:, 0] = (looks[0] + (looks[1] - looks[0]) * share)[1:]  # the first frame is rest
        ideal = follow(prop, show.times, exact, limits_of(prop))
        at = np.linspace(0.0, show.times[-1] + 1.0, 4000)
        strays.append(np.abs(motion.position(at) - ideal.position(at))[:, 0].max())
    assert strays[1] <= strays[0] + 0.01


def test_a_slow_fade_goes_with_half_the_ripple_in_sixteen_bit():
    ripple = []
    for bits in (8, 16):
        _, motion = faded(plain(bits, 120, 600), 0.2, 0.8, 10.0)
        ripple.append(np.ptp(motion.velocity(np.linspace(3.0, 10.0, 5000))[:, 0]))
    # An 8-bit step of 0.353 deg is a triangle of its own that peaks at sqrt(600 * 0.353) = 14.6 deg/s.
    # In 16 bit each frame moves by 54 deg / 440, and sqrt(600 * 54 / 440) = 8.6 deg/s.
    assert 14.0 < ripple[0] < 15.0  # two steps sometimes overlap a little
    assert ripple[1] < min(8.6, ripple[0] / 2)


def test_the_coarse_values_make_the_shaft_stop_between_steps_and_the_fine_ones_less_deep():
    stops = []
    for bits in (8, 16):
        _, motion = faded(plain(bits, 120, 600), 0.2, 0.8, 10.0)
        cut = segments(motion)
        own = slice(cut.first[0], cut.first[1])
        resting = (cut.velocity[own] == 0) & (cut.acceleration[own] == 0) & (cut.since[own] > HELD)
        stops.append(cut.lasts[own][resting][:-1].max(initial=0.0))
    assert stops[0] > 3 * stops[1]
