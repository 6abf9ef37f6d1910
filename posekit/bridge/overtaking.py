"""Which requests a newer one of their kind may overtake."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

Request = TypeVar("Request", bound=Callable[..., Any])

_MARK = "_newest_wins"


def newest_wins(request: Request) -> Request:
    """Mark a request of which only the newest counts: the page drops an older one that still waits.

    For questions that are asked again and again while something moves, such as a pose; never for a change.
    """
    setattr(request, _MARK, True)
    return request


def is_overtaken(request: Callable[..., Any]) -> bool:
    """Whether a newer request of this kind takes the place of one that still waits."""
    return getattr(request, _MARK, False)
