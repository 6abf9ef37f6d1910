"""How a command ends, whatever happens: in words and with an exit status, never with a traceback.

Refused input and wrong use are told as they are. A fault of posekit itself is told in one sentence, with the file
that holds the details and the files that were written before it. Output that nobody reads, or that finds no room, ends
the command; so does Ctrl+C.
"""

from __future__ import annotations

import errno
import os
import platform
import sys
import tempfile
import traceback
from collections.abc import Callable, Sequence
from contextlib import suppress
from io import TextIOWrapper
from typing import TextIO, TypeGuard

import click

from posekit import __version__
from posekit.cli.printing import print_aside, say
from posekit.errors import PosekitError
from posekit.interrupt import INTERRUPTED, interrupts

WRONG, FAULT = 2, 70  # 70: EX_SOFTWARE of sysexits.h
NO_ROOM = {errno.ENOSPC, errno.EFBIG, errno.EIO, errno.EBADF, getattr(errno, "EDQUOT", errno.ENOSPC)}
UNREAD = 141  # as shells count: 128 and the number of the signal SIGPIPE


def guarded(run: Callable[[], object], written: Sequence[str]) -> None:
    """Run a command and leave with its exit status, by SystemExit. `written` are the files it has written so far."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without µ shows a question mark, not nothing
    try:
        with interrupts(lambda: f"Stopped.{_kept(written)}"):
            status = _ended(run, written)
            status = _flushed(status, written)
    except KeyboardInterrupt:  # while the end was told
        status = INTERRUPTED
    sys.exit(status)


def _ended(run: Callable[[], object], written: Sequence[str]) -> int:
    """The exit status of a command, told where it did not go to its end."""
    try:
        status = run()
        return status if isinstance(status, int) else 0
    except SystemExit as left:
        return left.code if isinstance(left.code, int) else int(left.code is not None)
    except PosekitError as refused:
        findings = refused.findings
        return _told(lambda: print_aside(findings), WRONG)
    except click.ClickException as wrong:
        usage = wrong
        return _told(lambda: _print_usage(usage), wrong.exit_code)
    except (KeyboardInterrupt, click.Abort):
        return _told(lambda: say(f"Stopped.{_kept(written)}", err=True), INTERRUPTED)
    except BrokenPipeError:
        return UNREAD
    except Exception as fault:
        if _is_of_output(fault):
            _silence(sys.stdout)  # else what is held for it would be tried, and told, once more
        sentence = _sentence(fault) + _kept(written)
        return _told(lambda: say(sentence, err=True), WRONG if _is_of_output(fault) else FAULT)


def _told(tell: Callable[[], None], status: int) -> int:
    """The status, which has to say it all where the words find no room either."""
    with suppress(OSError):
        tell()
    return status


def fault_told(fault: Exception) -> str:
    """One sentence on a fault of posekit itself, the details of which are written down."""
    return f"posekit itself failed ({type(fault).__name__}); {_noted(fault)}"


def _sentence(fault: Exception) -> str:
    if _is_of_output(fault):
        return f"The output could not be written ({os.strerror(fault.errno or 0)})."
    if isinstance(fault, MemoryError):
        return "There is not enough memory for this: close other programs, or use a smaller prop."
    return fault_told(fault)


def _is_of_output(fault: BaseException) -> TypeGuard[OSError]:
    # Files are read and written through posekit.paths and posekit.prop.writer, which tell in their own words. A fault
    # of this kind without the name of a file is of the stream that a command prints to.
    return isinstance(fault, OSError) and fault.filename is None and fault.errno in NO_ROOM


def _noted(fault: Exception) -> str:
    """Write down what is needed to find the fault, and say where."""
    details = "".join(traceback.format_exception(fault))
    about = f"posekit {__version__}, Python {platform.python_version()}, {platform.platform()}"
    try:
        handle, place = tempfile.mkstemp(prefix="posekit-fault-", suffix=".txt", text=True)
        with open(handle, "w", encoding="utf-8", errors="backslashreplace") as file:
            file.write(f"{about}\n{' '.join(map(repr, sys.argv))}\n\n{details}")
    except OSError as problem:
        return f"the details could not be saved ({problem.strerror or problem})."
    return f"the details are in {place}; please send them along with your report."


def _kept(written: Sequence[str]) -> str:
    """Which files were written before the end; what stood there before stands there still."""
    return f" Written before that, and whole: {', '.join(written)}." if written else " No file was written."


def _print_usage(wrong: click.ClickException) -> None:
    ctx = wrong.ctx if isinstance(wrong, click.UsageError) else None
    if ctx is not None:
        click.echo(ctx.get_usage(), err=True)
        say(f"Try '{ctx.command_path} --help' for help.", err=True)
    say(f"Error: {wrong.format_message()}", err=True)


def _flushed(status: int, written: Sequence[str]) -> int:
    """The exit status once all that was printed is out."""
    for stream in (sys.stdout, sys.stderr):
        try:
            if stream is not None:
                stream.flush()
        except BrokenPipeError:
            status = UNREAD
            _silence(stream)
        except OSError as problem:
            sentence = _sentence(problem) + _kept(written)
            _silence(stream)
            status = WRONG if stream is sys.stderr else _told(lambda: say(sentence, err=True), WRONG)  # noqa: B023
    return status


def _silence(stream: TextIO) -> None:
    """Let what is still held for a stream go nowhere, or Python would tell of it once more at its end."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)
