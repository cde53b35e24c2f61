"""Limits of memory: one that the shell sets, too low to begin, and the command's own bound."""

from __future__ import annotations

import contextlib
import re
import sys
import threading
from collections.abc import Iterator

import click
import psutil

from preflight.input_problem import ExitStatus, InputProblem
from separations.commands.exit_sentences import tell_last
from separations.runtime.memory_watch import MemoryWatch, leave_at_once, machine_memory

#: Under this limit of address space libraries abort, measured with a small job on two cores, and
#: rounded up: threads and linear algebra lay claim to far more than they use.
LEAST_ADDRESS_SPACE_MIB = 2048
#: What the libraries and a small job take.
LEAST_BOUND_MIB = 512
_UNITS = {"mb": 10**6, "mib": 2**20, "gb": 10**9, "gib": 2**30}
_ASKED = re.compile(r"\s*([0-9]{1,9}(?:\.[0-9]{1,6})?)\s*(mb|mib|gb|gib)\s*", re.IGNORECASE)


def need_address_space() -> None:
    """Refuse to begin where the shell allows too little address space (``ulimit -v``).

    Raises
    ------
    InputProblem
        When less than 2 GiB is allowed. Systems that know no such limit allow all.
    """
    if sys.platform == "linux":
        limit, _ = psutil.Process().rlimit(psutil.RLIMIT_AS)
        if limit != psutil.RLIM_INFINITY and limit < LEAST_ADDRESS_SPACE_MIB * 2**20:
            raise InputProblem(
                where="this machine",
                found=f"a memory limit of {limit // 2**20} MiB for this program",
                would_do=f"{LEAST_ADDRESS_SPACE_MIB} MiB or more (ulimit -v unlimited)")


def memory_bound(text: str) -> int:
    """Bytes of a bound as it is written, e.g. ``"3 GB"`` or ``"2048 MiB"``.

    Raises
    ------
    click.BadParameter
        When it is no such figure, or less than a small job takes.
    """
    match = _ASKED.fullmatch(text)
    bound = int(float(match[1]) * _UNITS[match[2].lower()]) if match else 0
    if match is None:
        raise click.BadParameter(f"found {text[:40]!r}; a size such as 3 GB would do")
    if bound < LEAST_BOUND_MIB * 2**20:
        raise click.BadParameter(f"found {text[:40]!r}; {LEAST_BOUND_MIB} MiB or more would do")
    return bound


def with_memory_bound(command: click.Command) -> click.Command:
    """Give a command the option ``--memory``, which sets the bound of the watch over it."""

    def set_bound(context: click.Context, _option: click.Parameter, text: str | None) -> None:
        watch = context.find_object(MemoryWatch)
        if text is not None:
            bound = memory_bound(text)
            if watch is not None:
                watch.bound, watch.was_set = bound, True

    command.params.append(click.Option(
        ["--memory"], metavar="SIZE", expose_value=False, callback=set_bound,
        help="Stop when more memory than this is needed, e.g. 3 GB (default: 88 % of the "
             "machine's)."))
    return command


@contextlib.contextmanager
def watched_memory() -> Iterator[MemoryWatch]:
    """Watch over the memory of the command that runs in the block.

    A command that took more than its bound leaves with a sentence and status 2 as soon as it has
    cleared up. Its threads are not waited for: they would go on taking memory.
    """
    leaving = threading.Lock()

    def at_last() -> None:
        leaving.acquire()  # kept to the end: of two threads one tells the sentence
        tell_last(want_of_memory(watch.found).sentence)
        leave_at_once(ExitStatus.BAD_INPUT)

    watch = MemoryWatch(at_last)
    watch.start()
    try:
        yield watch
    except BaseException:
        if watch.found:
            at_last()
        raise
    finally:
        watch.end()


def want_of_memory(found: str) -> InputProblem:
    """The `InputProblem` of a job that takes more memory than it may."""
    return InputProblem(
        where="this job", found=found,
        would_do="a smaller picture, a simpler drawing, a lower film resolution or a higher limit "
                 f"(--memory; this machine has {machine_memory() // 2**20:,} MiB)")
