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
    """A search under way: what it was, the newest of each part, and how many of them are under way."""

    before: Search
    newest: list[Search]
    under_way: int

    def together(self) -> Search:
        """What the search has become so far."""
        return self.newest[0] if len(self.newest) == 1 else joined(self.before, self.newest)


@dataclass(slots=True)
class Jobs:
    """The jobs under way. A wide search goes in `PARTS` parts, whoever runs them, so that a result does not
    depend on the number of workers."""

    resolution: float
    step_cells: int
    executor: Executor | None
    waiting: deque[tuple[int, int, Generator[Search, None, Search]]] = field(default_factory=deque)
    running: dict[Future[Search], tuple[int, int]] = field(default_factory=dict)
    parts: dict[int, Parts] = field(default_factory=dict)

    @property
    def busy(self) -> bool:
        """Whether any search is under way."""
        return bool(self.parts)

    def start(self, k: int, model: PairModel, search: Search) -> None:
        """Put search `k` to work for one step."""
        wide = search.undecided and not search.done and len(search.cells) >= PARTS * BATCH
        parts = parts_of(search, PARTS) if wide else [search]
        self.parts[k] = Parts(search, list(parts), len(parts))
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
                self.parts[k].newest[i] = next(steps)
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

    def drop(self) -> list[tuple[int, Search]]:
        """Leave what is under way: the searches, with all that is shown of them so far."""
        for future, (k, i) in self.running.items():
            if not future.cancel() and future.done():
                self.parts[k].newest[i] = future.result()
        self.waiting.clear()
        self.running.clear()
        left = [(k, parts.together()) for k, parts in self.parts.items()]
        self.parts.clear()
        return left

    def _ended(self, k: int, i: int, search: Search) -> list[tuple[int, Search]]:
        parts = self.parts[k]
        parts.newest[i] = search
        parts.under_way -= 1
        if parts.under_way:
            return []
        del self.parts[k]
        return [(k, parts.together())]
