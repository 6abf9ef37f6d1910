"""Captures of E1.31: both file formats, and what a receiver makes of the packets."""

import struct

import numpy as np
import pytest

from posekit.budgets import ALIKE_TOLD, SOURCES
from posekit.errors import PosekitError
from posekit.stream.reader import read_show
from tests.conftest import SEEDS
from tests.motion.props import arm
from tests.stream import packets
from tests.stream.packets import data, ethernet, pcap, pcapng

EPOCH = 1_700_000_000.0
OTHER = bytes(range(0x30, 0x40))


def slots(shoulder, slide=0x8000):
    return bytes([shoulder, 0, slide >> 8, slide & 255]) + bytes(508)


def stream(levels, step=0.025, **options):
    """(time, octets) of packets with these shoulder levels, numbered on."""
    return [
        (k * step, data(slots=slots(level), sequence=k % 256, **options)) for k, level in enumerate(levels)
    ]


def frames(sent, wrap=ethernet):
    return [(EPOCH + time, wrap(octets)) for time, octets in sent]


def read(content, name="take.pcap"):
    return read_show(arm(), content, name)


def told(show):
    return [(f.level, f.code, f.subject) for f in show.findings]


@pytest.mark.parametrize(
    ("content", "accuracy"),
    [
        (lambda f: pcap(f), 1e-6),
        (lambda f: pcap(f, order=">"), 1e-6),
        (lambda f: pcap(f, nano=True), 1e-6),
        (lambda f: pcapng(f), 1e-6),
        (lambda f: pcapng(f, order=">"), 1e-6),
        (lambda f: pcapng(f, resolution=9), 1e-6),
    ],
)
def test_both_formats_in_both_byte_orders_give_the_show(content, accuracy):
    levels = [100, 101, 101, 103, 90]
    show = read(content(frames(stream(levels))))
    np.testing.assert_allclose(show.times, [0, 0.025, 0.075, 0.1], atol=accuracy)
    np.testing.assert_array_equal(show.values, [[100, 32768], [101, 32768], [103, 32768], [90, 32768]])
    assert show.findings == ()


@pytest.mark.parametrize(
    ("link", "wrap"),
    [
        (1, lambda p: ethernet(p, vlan=True)),
        (101, packets.ip),
        (101, packets.ip6),
        (0, lambda p: b"\x02\0\0\0" + packets.ip(p)),
        (113, lambda p: bytes(2) + b"\0\1\0\6" + bytes(8) + b"\x08\0" + packets.ip(p)),
        (276, lambda p: b"\x08\0" + bytes(18) + packets.ip(p)),
    ],
)
def test_packets_are_found_whatever_carries_them(link, wrap):
    show = read(pcap(frames(stream([1, 2, 3]), wrap), link=link))
    assert show.values[:, 0].tolist() == [1, 2, 3]


LINKS = {1: ethernet, 101: packets.ip, 0: lambda p: b"\x02\0\0\0" + packets.ip(p)}
CLOCKS = {6: 10**6, 9: 10**9, 3: 10**3, 0x80 | 20: 2**20}  # if_tsresol to ticks a second


@pytest.mark.parametrize("seed", SEEDS)
def test_a_file_of_any_interfaces_and_sections_gives_the_show_of_a_plain_one(seed):
    rng = np.random.default_rng(seed)
    sent = stream(rng.integers(0, 256, 30).tolist(), step=0.032)
    content, interfaces, order = b"", [], "<"
    for time, octets in sent:
        if not interfaces or rng.random() < 0.1:
            order, interfaces = rng.choice(["<", ">"]), []
            content += packets.section(order)
        if not interfaces or rng.random() < 0.3:
            link, clock, offset_s = (
                rng.choice(list(LINKS)),
                rng.choice(list(CLOCKS)),
                int(rng.integers(-9, 9)),
            )
            interfaces.append((LINKS[link], CLOCKS[clock], offset_s))
            content += packets.interface(link, order, clock, offset_s)
        number = int(rng.integers(len(interfaces)))
        wrap, unit, offset_s = interfaces[number]
        content += packets.captured(number, round((EPOCH + time - offset_s) * unit), wrap(octets), order)
    show, plain = read(content, "take.pcapng"), read(pcap(frames(sent)))
    np.testing.assert_array_equal(show.values, plain.values)
    np.testing.assert_allclose(show.times, plain.times, atol=2e-6)
    assert show.findings == plain.findings == ()


def test_packets_of_a_link_that_is_not_read_are_told_and_those_of_others_are_not():
    sent = stream([1, 2, 3])
    content = packets.section() + packets.interface() + packets.interface(link=105)
    for number, (time, octets) in enumerate(sent):
        content += packets.captured(number % 2, round((EPOCH + time) * 1e6), ethernet(octets))
        content += packets.captured(1, round((EPOCH + time) * 1e6), b"a beacon")
    show = read(content, "take.pcapng")
    assert show.values[:, 0].tolist() == [1, 3]
    assert (
        told(show)[0] == ("error", "unknown-link", "packet 3") and "link type 105" in show.findings[0].message
    )


def test_packets_without_a_time_are_left_out_and_told():
    simple = ethernet(data(slots=slots(9), sequence=1))
    content = pcapng(frames(stream([1]))) + packets.block(3, struct.pack("<L", len(simple)) + simple)
    show = read(content, "take.pcapng")
    assert show.values[:, 0].tolist() == [1]
    assert told(show) == [("error", "without-time", "packet 2")]


def test_a_packet_of_an_interface_that_is_not_described_ends_the_reading_and_is_told():
    content = pcapng(frames(stream([1]))) + packets.captured(1, 0, ethernet(data()))
    show = read(content, "take.pcapng")
    assert told(show) == [("error", "cut-short", "packet 2")]
    why = "it names interface 1, and 1 are described before it"
    assert show.findings[0].message == f"the capture is damaged here ({why}); what stands before it was read"
    with pytest.raises(PosekitError) as refused:
        read(pcapng([]) + packets.captured(1, 0, ethernet(data())), "take.pcapng")
    assert [f.message for f in refused.value.findings] == [f"is damaged: {why}"]


def test_other_packets_in_the_capture_are_passed_over():
    other = [(EPOCH - 1, ethernet(b"hello")), (EPOCH + 0.01, ethernet(data(slots=slots(77)), port=5000))]
    show = read(pcap(sorted(frames(stream([1, 2])) + other)))
    assert show.values[:, 0].tolist() == [1, 2] and show.times[0] == 0.0


@pytest.mark.parametrize("form", [pcap, pcapng])
@pytest.mark.parametrize("cut", [1, 300, 650, 680, 690])
def test_a_capture_cut_short_gives_what_stands_before_with_the_packet_number(form, cut):
    content = form(frames(stream([1, 2, 3])))
    show = read(content[:-cut])
    assert show.values[:, 0].tolist() == [1, 2]
    assert told(show) == [("error", "cut-short", "packet 3")]
    why = "the capture ends in the middle of it; what stands before it was read"
    assert show.findings[0].message == why
    with pytest.raises(PosekitError) as refused:
        read(form(frames(stream([1])))[:-cut])
    why = "is cut short: it ends before its first packet is whole"
    assert [f.message for f in refused.value.findings] == [why]


def test_packets_that_were_captured_in_part_are_told_with_their_numbers():
    whole = frames(stream([1, 2, 3]))
    whole[1] = (whole[1][0], whole[1][1][:96])
    show = read(pcap(whole))
    assert show.values[:, 0].tolist() == [1, 3]
    assert ("error", "cut-short", "packet 2") in told(show)


def test_a_broken_packet_is_told_with_its_number_and_left_out():
    sent = stream([1, 2, 3])
    sent[1] = (sent[1][0], sent[1][1][:108] + b"\xff" + sent[1][1][109:])
    show = read(pcap(frames(sent)))
    assert show.values[:, 0].tolist() == [1, 3]
    assert told(show)[0] == ("error", "bad-packet", "packet 2")
    assert "priority 255" in show.findings[0].message


def test_packets_out_of_order_are_left_out_and_missing_ones_counted():
    sent = stream(range(10))
    sent[4], sent[5] = (sent[4][0], sent[5][1]), (sent[5][0], sent[4][1])
    show = read(pcap(frames(sent)))
    assert show.values[:, 0].tolist() == [0, 1, 2, 3, 5, 6, 7, 8, 9]
    assert told(show) == [
        ("warning", "packets-missing", "universe 1"),
        ("warning", "out-of-order", "universe 1"),
    ]
    assert show.findings[1].message.endswith("out of order and was left out; at packet 6, 0.125 s")


def test_one_packet_is_told_as_one_and_several_as_several():
    def told_of(numbers):
        sent = [(0.1 * k, data(slots=slots(k), sequence=number)) for k, number in enumerate(numbers)]
        return [finding.message for finding in read(pcap(frames(sent))).findings]

    one = "1 packet of 'posekit test' came out of order and was left out; at packet 3, 0.200 s"
    assert told_of([5, 6, 6, 7]) == [one]
    several = "2 packets of 'posekit test' came out of order and were left out; first at packet 3, 0.200 s"
    assert told_of([5, 6, 6, 5, 7]) == [several]
    assert told_of([5, 7]) == ["1 packet of 'posekit test' is missing by its number; at packet 2, 0.100 s"]


def test_sequence_numbers_wrap_without_a_loss():
    show = read(pcap(frames(stream([k % 200 for k in range(600)]))))
    assert len(show.times) == 600 and show.findings == ()


@pytest.mark.parametrize(("gap", "lost"), [(2.499, False), (2.501, True)])
def test_silence_of_two_and_a_half_seconds_is_a_loss_told_with_its_time(gap, lost):
    # ANSI E1.31-2018, 6.7.1 and appendix A: E131_NETWORK_DATA_LOSS_TIMEOUT 2.5 s.
    sent = [(0.0, data(slots=slots(1))), (gap, data(slots=slots(2), sequence=1))]
    show = read(pcap(frames(sent)))
    assert show.values[:, 0].tolist() == [1, 2]
    assert told(show) == ([("warning", "data-loss", "universe 1")] if lost else [])
    if lost:
        assert (
            "from 2.500 s" in show.findings[0].message and "came back at 2.501 s" in show.findings[0].message
        )


def test_a_stream_that_ends_itself_is_told_and_its_last_values_do_not_count():
    sent = stream([1, 2])
    sent += [(0.05 + 0.02 * k, data(slots=slots(99), sequence=2 + k, options=0x40)) for k in range(3)]
    sent += [(5.0, data(slots=slots(3), sequence=9))]
    show = read(pcap(frames(sent)))
    assert show.values[:, 0].tolist() == [1, 2, 3]
    assert told(show) == [("warning", "data-loss", "universe 1")]
    assert "ended its stream" in show.findings[0].message and "0.050" in show.findings[0].message


def test_the_highest_priority_rules_until_it_is_lost():
    low = stream([10] * 200, name="low")
    high = stream([20] * 20, name="high", cid=OTHER, priority=150)
    show = read(pcap(frames(sorted(low + high))))
    np.testing.assert_array_equal(show.values[:, 0], [20, 10, 10])
    # The last packet of the high source is at 0.475 s; 2.5 s later the low one takes over.
    np.testing.assert_allclose(show.times, [0.0, 2.975, 4.975], atol=1e-6)
    assert told(show) == [("note", "source-lost", "universe 1")]


def test_sources_are_told_apart_so_that_each_has_sequence_numbers_of_its_own():
    a = stream([10, 11, 12, 13], name="a")
    b = [
        (t + 0.001, data(slots=slots(90), sequence=(200 - k) % 256, cid=OTHER, name="b", priority=1))
        for k, (t, _) in enumerate(a)
    ]
    show = read(pcap(frames(sorted(a + b))))
    assert show.values[:, 0].tolist() == [10, 11, 12, 13, 13]
    assert told(show) == [("warning", "out-of-order", "universe 1")] and "'b'" in show.findings[0].message


def test_of_equal_priorities_the_first_heard_rules_and_it_is_told():
    a, b = stream([10, 11, 12]), stream([90, 91, 92], cid=OTHER, name="b")
    show = read(pcap(frames(sorted(a + [(t + 0.01, p) for t, p in b]))))
    assert show.values[:, 0].tolist() == [10, 11, 12, 12]
    assert told(show) == [("warning", "same-priority", "universe 1")]


@pytest.mark.parametrize(
    ("options", "code"), [({"options": 0x80}, "preview"), ({"start": 0xCC}, "start-code")]
)
def test_previews_and_other_start_codes_do_not_move_the_prop(options, code):
    sent = [*stream([1, 2]), (1.0, data(slots=slots(99), sequence=2, **options))]
    show = read(pcap(frames(sent)))
    assert show.values[:, 0].tolist() == [1, 2, 2]
    assert told(show) == [("note", code, "universe 1")]


def test_data_for_a_synchronisation_address_waits_once_such_packets_were_heard():
    sent = [
        (0.0, data(slots=slots(1), sequence=0, sync=7962)),
        (0.1, packets.sync(7962)),
        (0.2, data(slots=slots(2), sequence=1, sync=7962)),
        (0.3, packets.sync(7962, sequence=1)),
    ]
    show = read(pcap(frames(sent)))
    np.testing.assert_allclose(show.times, [0.0, 0.3], atol=1e-6)
    assert show.values[:, 0].tolist() == [1, 2]


def waiting(level, sequence, **options):
    return data(slots=slots(level), sequence=sequence, sync=7962, **options)


def test_synchronised_data_waits_for_the_address_and_not_for_the_source_of_the_packet():
    # 6.2.4.1: a synchronisation packet acts on any data that names its address.
    sent = [(0.0, waiting(1, 0)), (0.1, packets.sync(7962, cid=OTHER)), (0.2, waiting(2, 1))]
    show = read(pcap(frames([*sent, (0.3, packets.sync(7962, sequence=1, cid=OTHER))])))
    assert show.values[:, 0].tolist() == [1, 2] and show.times[1] == pytest.approx(0.3)


def test_data_without_a_synchronisation_address_acts_at_once_and_drops_what_waits():
    # 6.2.4.1: a receiver "shall discard any data waiting to be processed and immediately act on that" packet.
    sent = [
        (0.0, waiting(1, 0)),
        (0.1, packets.sync(7962)),
        (0.2, waiting(2, 1)),
        (0.3, data(slots=slots(3), sequence=2)),
        (0.4, packets.sync(7962, sequence=1)),
    ]
    show = read(pcap(frames(sent)))
    assert show.values[:, 0].tolist() == [1, 3, 3] and show.times[1] == pytest.approx(0.3)


def test_a_late_synchronisation_packet_releases_nothing():
    sent = [
        (0.0, waiting(1, 0)),
        (0.1, packets.sync(7962, sequence=5)),
        (0.2, waiting(2, 1)),
        (0.3, packets.sync(7962, sequence=4)),
        (0.4, packets.sync(7962, sequence=6)),
    ]
    show = read(pcap(frames(sent)))
    assert show.values[:, 0].tolist() == [1, 2] and show.times[1] == pytest.approx(0.4)
    assert told(show) == [("warning", "out-of-order", "synchronisation address 7962")]


@pytest.mark.parametrize("returns", [True, False])
def test_lost_synchronisation_holds_the_values_and_is_told_with_its_times(returns):
    # Appendix B: with Force_Synchronization 0 a receiver stays in its last look until a synchronisation packet comes.
    sent = [(0.0, waiting(1, 0)), (0.1, packets.sync(7962))]
    sent += [(0.1 + 0.5 * k, waiting(10 + k, k)) for k in range(1, 12)]
    if returns:
        sent += [(5.7, packets.sync(7962, sequence=1))]
    show = read(pcap(frames(sent)))
    assert show.values[:, 0].tolist() == ([1, 21] if returns else [1, 1])
    assert told(show) == [("warning", "synchronisation-lost", "universe 1")]
    until = "until 5.700 s" if returns else "until the end at 5.600 s"
    assert f"address 7962 from 0.100 s {until}" in show.findings[0].message


def test_data_that_forces_synchronisation_acts_at_once_when_it_is_lost_and_waits_before():
    # 6.2.6: set, and synchronisation lost, receivers need not wait for a new synchronisation packet.
    sent = [(0.0, waiting(1, 0, options=0x20)), (0.1, packets.sync(7962))]
    sent += [(0.5 * k, waiting(10 + k, k, options=0x20)) for k in range(1, 12)]
    show = read(pcap(frames(sent)))
    # 2.5 s after 0.1 s synchronisation is lost: the packets from 3.0 s on act.
    assert list(zip(show.times.round(6), show.values[:, 0], strict=True)) == [
        (0.0, 1),
        *[(0.5 * k, 10 + k) for k in range(6, 12)],
    ]
    assert told(show) == [("note", "synchronisation-lost", "universe 1")]


def test_previews_and_other_start_codes_count_in_the_sequence_so_that_nothing_is_missing():
    # 6.7.2: one sequence numbers all data packets of a universe.
    sent = [
        (0.025 * k, data(slots=slots(k), sequence=k, options=0x80 * (k % 3 == 1), start=0xDD * (k % 3 == 2)))
        for k in range(30)
    ]
    show = read(pcap(frames(sent)))
    assert show.values[:, 0].tolist() == [*range(0, 30, 3), 27]
    assert told(show) == [("note", "preview", "universe 1"), ("note", "start-code", "universe 1")]


def test_a_late_preview_is_out_of_order_as_any_packet_is():
    sent = [(0.0, data(slots=slots(1), sequence=9)), (0.1, data(slots=slots(2), sequence=8, options=0x80))]
    assert told(read(pcap(frames(sent)))) == [("warning", "out-of-order", "universe 1")]


def test_a_source_that_goes_on_with_previews_only_has_lost_its_values_and_it_is_told():
    sent = stream([5, 6])
    sent += [(0.5 + 0.5 * k, data(slots=slots(9), sequence=2 + k, options=0x80)) for k in range(10)]
    show = read(pcap(frames(sent)))
    assert show.values[:, 0].tolist() == [5, 6, 6]
    assert told(show) == [("warning", "data-loss", "universe 1"), ("note", "preview", "universe 1")]
    assert "sent no slot values for 2.5 s" in show.findings[0].message
    assert "from 2.525 s on" in show.findings[0].message


def test_of_several_lost_sources_the_first_lost_is_lost_first():
    a = [(0.0, data(slots=slots(1), priority=150, name="a"))]
    a += [(t, data(slots=slots(1), priority=150, name="a", sequence=k)) for k, t in enumerate((1.0, 2.0), 1)]
    b = [(0.5, data(slots=slots(7), universe=2, cid=OTHER, name="b"))]
    c = [(9.0, data(slots=slots(3), universe=3, cid=OTHER, name="c"))]
    show = read(pcap(frames(sorted(a + b + c))))
    losses = [f for f in show.findings if f.code == "data-loss"]
    assert [(f.subject, f.message[:21]) for f in losses] == [
        ("universe 2", "no data from 3.000 s "),
        ("universe 1", "no data from 4.500 s "),
    ]
    assert np.all(np.diff(show.times) > 0)


def test_more_sources_than_are_told_apart_are_left_out_and_told():
    sent = [
        (0.001 * k, data(slots=slots(k % 256), cid=k.to_bytes(16, "big"), priority=k % 100))
        for k in range(SOURCES + 5)
    ]
    show = read(pcap(frames(sent)))
    assert ("warning", "too-many-sources", "universe 1") in told(show)
    assert any(f.message.startswith("5 packets came from more than") for f in show.findings)


@pytest.mark.native  # what is told is put together by the same lines in every Python
def test_thousands_of_gaps_are_told_as_a_few_and_a_count():
    sent = []
    for k in range(3000):
        sent += [(3.0 * k, data(slots=slots(k % 256), sequence=k % 256))]
    show = read(pcap(frames(sent)))
    gaps = [f for f in show.findings if f.code == "data-loss"]
    assert len(gaps) == ALIKE_TOLD + 1
    assert gaps[-1].message.startswith(f"and {2999 - ALIKE_TOLD} more")


def test_stamps_that_go_back_are_told_with_the_packet_number():
    sent = frames(stream([1, 2, 3]))
    sent[2] = (EPOCH - 5.0, sent[2][1])
    show = read(pcap(sent))
    assert show.values[:, 0].tolist() == [1, 3]
    assert told(show) == [("error", "times-going-back", "packet 3")]


def test_a_clock_that_jumps_by_years_ends_the_show_where_it_jumps_and_is_told_with_the_packet_numbers():
    sent = stream([1, 2, 3, 4])
    late = [(time + (EPOCH if k > 1 else 0.0), ethernet(octets)) for k, (time, octets) in enumerate(sent)]
    show = read(pcap(late))
    assert show.values[:, 0].tolist() == [1, 2] and show.duration == pytest.approx(0.025)
    assert told(show) == [("error", "times-too-far", f"packet {number}") for number in (3, 4)]
    assert "86400 s at most" in show.findings[0].message


def test_a_universe_that_no_drive_uses_is_told():
    sent = [*stream([1, 2]), (0.1, data(universe=9, slots=slots(1)))]
    assert told(read(pcap(frames(sent)))) == [("note", "unpatched", "universe 9")]


@pytest.mark.parametrize(
    "content", [b"", b"nonsense" * 20, pcap([]), pcapng([]), pcap([(0.0, ethernet(b"x"))])]
)
def test_a_file_without_any_packet_of_use_is_refused(content):
    with pytest.raises(PosekitError) as refused:
        read(content)
    assert refused.value.findings[-1].code in ("unreadable", "empty-show")


@pytest.mark.parametrize(
    ("option", "length"), [(9, 0), (9, 2), (14, 0), (14, 4)], ids=["clock", "clock", "offset", "offset"]
)
def test_an_option_of_a_length_that_it_cannot_have_makes_a_capture_unreadable(option, length):
    # Options of an interface: 9 if_tsresol of 1 octet, 14 if_tsoffset of 8 (the pcapng draft, from memory).
    whole = pcapng(frames(stream([1, 2])), resolution=6)
    right = struct.pack("<HHB3x", 9, 1, 6)
    assert whole.count(right) == 1
    broken = (
        struct.pack("<HH4s", option, length, b"\x06") if length else struct.pack("<HHHH", option, 0, 0, 0)
    )
    with pytest.raises(PosekitError) as refused:
        read(whole.replace(right, broken), "take.pcapng")
    assert [f.code for f in refused.value.findings] == ["unreadable"]
    assert "damaged" in refused.value.findings[0].message


@pytest.mark.native  # octets are read by the same lines in every Python
@pytest.mark.parametrize("seed", SEEDS)
def test_no_cut_and_no_flipped_octet_brings_the_reader_down(seed):
    rng = np.random.default_rng(seed)
    for form in (pcap, pcapng):
        whole = form(frames(stream([1, 2, 3])))
        for _ in range(35):
            octets = bytearray(whole[: rng.integers(0, len(whole) + 1)])
            for at in rng.integers(0, max(len(octets), 1), 3):
                if octets:
                    octets[at] = rng.integers(0, 256)
            try:
                show = read(bytes(octets))
            except PosekitError:
                continue
            assert len(show.times) == len(show.values) >= 1
            assert np.all(np.diff(show.times) > 0)
