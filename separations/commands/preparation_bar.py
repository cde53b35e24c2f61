"""What the first command after an installation says while its compiled parts are prepared."""

from __future__ import annotations

import functools
import sys
from pathlib import Path
from typing import Any

import click

from separations.runtime.compiled_code import is_kept_for_good
from separations.runtime.first_kernels import is_prepared
from separations.runtime.memory_watch import MemoryWatch, machine_memory
from separations.runtime.preparation import prepare_kernels

_STEPS = 1000


def prepared_first(command: click.Command) -> click.Command:
    """Let a command prepare the compiled parts before its own work, where they are not kept."""
    callback = command.callback
    assert callback is not None

    @functools.wraps(callback)
    def begin(*words: Any, **named: Any) -> Any:
        job = named.get("job")
        # A job that is not there is told of at once.
        if not is_prepared() and (not isinstance(job, Path) or job.is_file()):
            _prepare(click.get_current_context().find_object(MemoryWatch))
        return callback(*words, **named)

    command.callback = begin
    return command


def _prepare(watch: MemoryWatch | None) -> None:
    bar: Any = None  # click tells no public name of its type

    def begin() -> None:
        nonlocal bar
        click.echo("Preparing the compiled parts: "
                   + ("once, for this and all later commands." if is_kept_for_good() else
                      "for this command alone, as no folder that keeps them can be written."),
                   err=True)
        if sys.stderr.isatty():
            bar = click.progressbar(length=_STEPS, label="Compiled parts", file=sys.stderr,
                                    width=30, show_eta=True)
            bar.render_progress()

    def tell(done: float, whole: float) -> None:
        if bar is not None:
            bar.update(int(_STEPS * done / whole) - bar.pos)

    try:
        prepare_kernels(begin, tell, machine_memory() if watch is None else watch.bound)
    finally:
        if bar is not None:
            bar.render_finish()
