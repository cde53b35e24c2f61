"""What the command says when it cannot go on, and its exit status."""

from __future__ import annotations

import contextlib
import errno
import os
import sys
from typing import Any

import click

from preflight.input_problem import ExitStatus, InputProblem
from separations.commands.stop_signals import Stopped
from separations.runtime.kept_faults import kept_fault

_STOPPED = "Stopped; no output was left half-written."
_NO_ROOM = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
_STATUS_OF_PIPE = 141  # 128 and the number of the signal, as shells have it
_STATUS_OF_CTRL_C = 130


class OutputClosed(BaseException):
    """Standard output was closed by the program that read it."""


class PipedGroup(click.Group):
    """Commands that raise `OutputClosed` when their output is closed; click itself hides it."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command."""
        try:
            return super().invoke(ctx)
        except BrokenPipeError:
            raise OutputClosed from None


def exit_sentence(fault: BaseException) -> tuple[str, int]:
    """One sentence (none where the output is closed) and the exit status.

    Parameters
    ----------
    fault : BaseException
        Whatever the command did not catch.
    """
    match fault:
        case InputProblem():
            return fault.sentence, ExitStatus.BAD_INPUT
        case SystemExit():
            return "", fault.code if isinstance(fault.code, int) else bool(fault.code)
        case click.ClickException():
            with contextlib.suppress(OSError):
                fault.show()
            return "", ExitStatus.BAD_INPUT
        case Stopped():
            return _STOPPED, fault.status
        case click.Abort() | KeyboardInterrupt():
            return _STOPPED, _STATUS_OF_CTRL_C
        case BrokenPipeError() | OutputClosed():
            _say_no_more()
            return "", _STATUS_OF_PIPE
        case OSError() if fault.errno in _NO_ROOM:
            return (f"The disk: found no room ({(fault.strerror or '').lower()}); "
                    "a disk with room would do."), ExitStatus.BAD_INPUT
        case _ if is_want_of_memory(fault):
            return ("This machine: found too little free memory for the job; other programs "
                    "closed, a smaller picture, a lower film resolution or a higher memory limit "
                    "would do."), ExitStatus.BAD_INPUT
    return _own_fault(fault), ExitStatus.OWN_FAULT


def tell_last(sentence: str) -> None:
    """Say a sentence, if any, before the command leaves; where nobody can hear it, say nothing.

    What leaves is the status then: a full disk behind the words must not change it.
    """
    try:
        if sentence:
            click.echo(sentence, err=True)
        sys.stdout.flush()
        sys.stderr.flush()
    except (OSError, ValueError):
        _say_no_more()


def is_want_of_memory(fault: BaseException) -> bool:
    """Whether memory, or threads for want of it, ran out: each library has its own words."""
    words = str(fault)
    return (isinstance(fault, MemoryError)
            or (isinstance(fault, OSError) and fault.errno == errno.ENOMEM)
            or "Insufficient memory" in words or "can't start new thread" in words)


def _own_fault(fault: BaseException) -> str:
    return (f"topsheet failed through a fault of its own ({type(fault).__name__}); no output was "
            f"left half-written. {kept_fault(fault)}")


def _say_no_more() -> None:
    """Let what is still to be said go nowhere, so that leaving does not fail once more."""
    with open(os.devnull, "wb") as nowhere:  # noqa: PTH123  (a descriptor is wanted)
        for stream in (sys.stdout, sys.stderr):
            try:
                os.dup2(nowhere.fileno(), stream.fileno())
            except (OSError, ValueError):
                continue
