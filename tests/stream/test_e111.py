"""Packet times of DMX512-A. ANSI E1.11-2008 (R2018), clause 8; computed from limits that two libraries give."""

import pytest

from posekit.stream.e111 import packet_time_us, refresh_rate


@pytest.mark.parametrize(
    ("slots", "break_us", "mab_us", "time_us", "rate"),
    [(512, 92, 12, 22676, 44.0995), (512, 176, 12, 22760, 43.9367), (24, 92, 12, 1204, 830.565)],
)
def test_a_packet_takes_its_break_mark_and_slots(slots, break_us, mab_us, time_us, rate):
    assert packet_time_us(slots, break_us, mab_us) == time_us
    assert 1e6 / time_us == pytest.approx(rate, abs=5e-4)


def test_a_full_universe_is_refreshed_forty_four_times_a_second_at_most():
    assert refresh_rate() == pytest.approx(44.0995, abs=5e-5)


def test_few_slots_are_not_sent_faster_than_the_least_break_to_break_time():
    assert packet_time_us(1) == packet_time_us(24) == 1204
