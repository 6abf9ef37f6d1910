"""Searches cut into jobs, run here one by one or on an executor, and put together again."""

from __future__ import annotations

from collections import deque
from collections.abc import Generator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from dataclasses import dataclass, field

from posekit.clearance.pair_model import PairModel
from posekit.clearance.search import BATCH, Search, advance, advance_steps, joined, parts_of

PARTS = 4


@dataclass(slots=True)
class Parts:
    """A search under way: what it was, and what has come back of each part."""

    before: Search
    after: list[Search | None]


@dataclass(slots=True)
class Jobs:
    """The jobs under way. A wide search goes in `PARTS` parts, whoever runs them, so that a result does not
    depend on the number of workers."""

    resolution: float
    step_cells: int
    executor: Executor | None
    waiting: deque[tuple[int, int, Generator[None, None, Search]]] = field(default_factory=deque)
    running: dict[Future[Search], tuple[int, int]] = field(default_factory=dict)
    parts: dict[int, Parts] = field(default_factory=dict)

    @property
    def busy(self) -> bool:
        """Whether any search is under way."""
        return bool(self.parts)

    def start(self, k: int, model: PairModel, search: Search) -> None:
        """Put search `k` to work for one step."""
        wide = search.undecided and len(search.cells) >= PARTS * BATCH
        parts = parts_of(search, PARTS) if wide else [search]
        self.parts[k] = Parts(search, [None] * len(parts))
        for i, part in enumerate(parts):
            if self.executor is None:
                self.waiting.append((k, i, advance_steps(model, part, self.resolution, self.step_cells)))
            else:
                future = self.executor.submit(advance, model, part, self.resolution, self.step_cells)
                self.running[future] = (k, i)

    def wait(self) -> list[tuple[int, Search]]:
        """The searches whose step has ended since, a small step or a job later; possibly none."""
        if self.waiting:
            k, i, steps = self.waiting[0]
            try:
                next(steps)
            except StopIteration as end:
                self.waiting.popleft()
                return self._ended(k, i, end.value)
            return []
        done, _ = wait(self.running, return_when=FIRST_COMPLETED)
        ended = [(*self.running.pop(future), future.result()) for future in done]
        return [
            pair
            for k, i, search in sorted(ended, key=lambda end: end[:2])
            for pair in self._ended(k, i, search)
        ]

    def drop(self) -> None:
        """Leave what is under way."""
        for future in self.running:
            future.cancel()
        self.waiting.clear()

    def _ended(self, k: int, i: int, search: Search) -> list[tuple[int, Search]]:
        parts = self.parts[k]
        parts.after[i] = search
        found = [part for part in parts.after if part is not None]
        if len(found) < len(parts.after):
            return []
        del self.parts[k]
        return [(k, found[0] if len(found) == 1 else joined(parts.before, found))]
