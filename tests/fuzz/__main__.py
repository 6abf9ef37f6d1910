"""Many cases through every door: `python -m tests.fuzz --cases 100000`.

Prints for each door how many were answered, how many refused, and every fault with the number that makes it again:
`python -m tests.fuzz --door mesh --seed 417`.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor

from .doors import DOORS
from .trial import PAGE_DOORS, Trial, content_of, tried, tried_in_page, warm

BLOCK = 50


def block(job: tuple[str, int, int]) -> list[Trial]:
    """The cases `first` to `last` of one door."""
    door, first, last = job
    warm(door)
    return [tried(door, seed) for seed in range(first, last)]


def jobs(doors: list[str], cases: int, first: int) -> Iterator[tuple[str, int, int]]:
    """`cases` at each door, in blocks."""
    for door in doors:
        for start in range(first, first + cases, BLOCK):
            yield door, start, min(start + BLOCK, first + cases)


def main() -> int:
    """Run them and tell what became of them; 1 if anything was neither answered nor refused."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--cases", type=int, default=2000, help="how many in all")
    asked.add_argument("--first", type=int, default=0, help="the number of the first case of each door")
    asked.add_argument("--door", choices=DOORS, help="this door alone")
    asked.add_argument("--seed", type=int, help="one case of that door, in this process, with its traceback")
    asked.add_argument("--processes", type=int, default=2)
    given = asked.parse_args()
    doors = [given.door] if given.door else list(DOORS)
    if given.seed is not None:
        content = content_of(doors[0], given.seed)
        print(content[:2000], tried(doors[0], given.seed), sep="\n")
        DOORS[doors[0]].enter(content)
        return 0
    each = given.cases // (1 if given.door else len(DOORS) + len(PAGE_DOORS))
    counted: dict[str, Counter[str]] = {door: Counter() for door in doors}
    faults = 0
    with ProcessPoolExecutor(given.processes) as pool:
        for trials in pool.map(block, jobs(doors, each, given.first)):
            for trial in trials:
                counted[trial.door]["fault" if trial.is_fault else trial.end] += 1
                if trial.is_fault:
                    faults += 1
                    print(f"{trial.door} {trial.seed}: {trial.end}", flush=True)
    if not given.door:
        for door, told in tried_in_page(given.first, each).items():
            counted[door] = Counter(
                answered=told["answered"], refused=told["refused"], fault=len(told["faults"])
            )
            faults += len(told["faults"])
            for fault in told["faults"]:
                print(f"{door} {fault}")
    for door, ends in counted.items():
        print(f"{door:14}{ends['answered']:8} answered{ends['refused']:8} refused{ends['fault']:6} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
