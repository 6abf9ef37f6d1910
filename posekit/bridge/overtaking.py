"""Which requests let others go before them: a newer one of their kind, or poses between their steps."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

Request = TypeVar("Request", bound=Callable[..., Any])

_MARK, _STEPS = "_newest_wins", "_in_steps"


def newest_wins(request: Request) -> Request:
    """Mark a request of which only the newest counts: the page drops an older one that still waits.

    For questions that are asked again and again while something moves, such as a pose; never for a change.
    """
    setattr(request, _MARK, True)
    return request


def is_overtaken(request: Callable[..., Any]) -> bool:
    """Whether a newer request of this kind takes the place of one that still waits."""
    return getattr(request, _MARK, False)


def in_steps(request: Request) -> Request:
    """Mark a request that the page asks again and again until it is answered, a short step each time.

    Poses go out between the steps: it hurries none of what waits for a frame.
    """
    setattr(request, _STEPS, True)
    return request


def is_in_steps(request: Callable[..., Any]) -> bool:
    """Whether a request is asked step by step until it is answered."""
    return getattr(request, _STEPS, False)
