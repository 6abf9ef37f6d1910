"""Work that is done in a process of its own, because a library that does it may fall, hang or print for itself."""

from __future__ import annotations

import faulthandler
import os
from collections.abc import Callable
from multiprocessing import get_all_start_methods, get_context
from multiprocessing.connection import Connection

from posekit.text import exact

LONGEST_S = 600.0  # for the largest CAD assembly on a slow machine


class FellError(Exception):
    """The process ended without an answer."""


def apart(work: Callable[[bytes], bytes], given: bytes, most_s: float = LONGEST_S) -> bytes:
    """What `work` answers to `given`, with all that it prints thrown away.

    `work` is a function of a module. Its process is no fork of this one, whose libraries may have threads that a fork
    breaks. Raises FellError if it falls, or gives no answer within `most_s` seconds.
    """
    served = "forkserver" in get_all_start_methods()
    context = get_context("forkserver") if served else get_context("spawn")
    receiver, sender = context.Pipe(duplex=False)
    child = context.Process(target=_answer, args=(sender, work, given), daemon=True)
    child.start()
    sender.close()
    try:
        if not receiver.poll(most_s):
            raise FellError(f"took more than {exact(most_s)} s")
        return bytes(receiver.recv_bytes())
    except (EOFError, OSError) as ended:
        raise FellError("fell") from ended
    finally:
        child.kill()
        child.join()


def _answer(sender: Connection, work: Callable[[bytes], bytes], given: bytes) -> None:
    faulthandler.disable()  # the fall is told once, by who asked
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    sender.send_bytes(work(given))
