"""Who does the work of an envelope, and what is told when a process is lost."""

from __future__ import annotations

import os

import pytest

from posekit.cli.workers import workers
from posekit.errors import PosekitError


@pytest.mark.native
def test_a_process_that_is_lost_is_told_with_what_may_help() -> None:
    told = "--jobs = 2: one of the processes was ended"
    with pytest.raises(PosekitError, match=told), workers(2, None) as executor:
        executor.submit(os._exit, 1).result()


def test_one_process_is_this_one() -> None:
    with workers(1, None) as executor:
        assert executor is None
