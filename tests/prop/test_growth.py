"""Time to read a prop grows with its file, whatever its tree looks like and whatever is wrong with it."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest

import posekit
from posekit.budgets import FINDINGS_TOLD, NAME_LETTERS, PARTS
from posekit.fields import MOST_TURN_DEG
from posekit.prop import reader


def chain(count: int) -> str:
    """Links that hang one on the other."""
    return tree(count, lambda i: i - 1)


def star(count: int) -> str:
    """Links that all hang on the first."""
    return tree(count, lambda i: 0)


def loop(count: int) -> str:
    """Links in one loop, and their joints led by each other in another."""
    text = (
        tree(count, lambda i: i - 1)
        + f'[joints.back]\ntype = "revolute"\nparent = "l{count - 1}"\nchild = "l0"\n'
    )
    return text.replace('type = "revolute"\n', 'type = "revolute"\nfollow = {joint = "j1"}\n')


def strangers(count: int) -> str:
    """Joints between links that are not there."""
    return tree(count, lambda i: i - 1).replace('parent = "l', 'parent = "m')


def tree(count: int, parent: Callable[[int], int]) -> str:
    links = "".join(f"[links.l{i}]\n" for i in range(count))
    joints = "".join(
        f'[joints.j{i}]\ntype = "revolute"\nparent = "l{parent(i)}"\nchild = "l{i}"\n'
        for i in range(1, count)
    )
    return f'format = 1\nname = "Many"\n{links}{joints}'


@pytest.mark.parametrize("shape", [chain, star, loop, strangers])
def test_time_to_read_grows_with_the_number_of_links(
    monkeypatch: pytest.MonkeyPatch, shape: Callable[[int], str]
) -> None:
    monkeypatch.setattr(reader, "PARTS", 100_000)  # far more than is taken, so that the square would show
    few, many = read_s(shape(500), 3), read_s(shape(4_000), 1)
    assert many < 24 * few  # 8 times as many links; were it the square, 64 times


def read_s(text: str, tries: int) -> float:
    """Processor time of this process, the least of some tries, so that other work on the machine does not count."""
    times = []
    for _ in range(tries):
        start = time.process_time()
        try:
            posekit.read({"prop.toml": text.encode()})
        except posekit.PosekitError as refused:
            assert len(refused.findings) <= FINDINGS_TOLD + 1
        times.append(time.process_time() - start)
    return min(times)


def test_more_links_than_a_prop_may_have_are_refused_in_one_sentence() -> None:
    with pytest.raises(posekit.PosekitError) as refused:
        posekit.read({"prop.toml": chain(PARTS + 1).encode()})
    assert [finding.code for finding in refused.value.findings] == ["too-many"]


@pytest.mark.parametrize("kind", ["[servos.{}]\n", "[links.{}]\n"])
def test_a_name_is_at_most_so_long(arm_text: str, kind: str) -> None:
    tail = '[joints.more]\ntype = "fixed"\nparent = "base"\nchild = "{}"\n' if "links" in kind else ""

    def prop_with(name: str) -> posekit.Prop:
        return posekit.read({"prop.toml": (arm_text + kind.format(name) + tail.format(name)).encode()})

    prop_with("n" * NAME_LETTERS)
    with pytest.raises(posekit.PosekitError) as refused:
        prop_with("n" * (NAME_LETTERS + 1))
    (finding,) = refused.value.findings
    assert finding.code == "too-long" and f"use {NAME_LETTERS} or fewer" in finding.message
    assert finding.line is not None


def test_the_title_of_a_prop_is_at_most_so_long(arm_text: str) -> None:
    with pytest.raises(posekit.PosekitError, match="use 200 or fewer"):
        posekit.read({"prop.toml": arm_text.replace('"Arm"', f'"{"n" * (NAME_LETTERS + 1)}"').encode()})


def test_a_servo_turns_at_most_a_hundred_times(arm_text: str) -> None:
    def prop_with(travel: float) -> posekit.Prop:
        return posekit.read({"prop.toml": arm_text.replace("travel = 180.0", f"travel = {travel}").encode()})

    assert prop_with(MOST_TURN_DEG).servos[0].travel == MOST_TURN_DEG
    with pytest.raises(posekit.PosekitError, match="travel = 36001: use 36000 or less"):
        prop_with(MOST_TURN_DEG + 1)
