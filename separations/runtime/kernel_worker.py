"""A process that compiles kernels, group by group, as another process tells it to.

It reads numbers of groups of the table of first kernels from its standard input, a line each, and
answers each with a line. numba writes the code to its folder, where whoever needs it finds it.
"""

from __future__ import annotations

import importlib
import os
import queue
import sys
import threading
from contextlib import suppress

from separations.runtime.first_kernels import KernelGroup, first_kernels
from separations.runtime.kernel_types import numba_type


def compile_group(group: KernelGroup) -> None:
    """Compile each kernel of a group for each set of types, or load what is kept of it.

    One that cannot be compiled so is left alone: it is compiled where it is called.
    """
    for name, sets_of_types in group.kernels.items():
        module, function = name.split(":")
        for told in sets_of_types:
            with suppress(Exception):  # of numba's, of any kind
                kernel = getattr(importlib.import_module(module), function)
                kernel.compile(tuple(numba_type(argument) for argument in told))


def serve() -> None:
    """Compile what is asked for, until the asking ends or the process that asks does."""
    asked: queue.Queue[int] = queue.Queue()

    def listen() -> None:
        for line in sys.stdin:
            asked.put(int(line))
        os._exit(0)  # at once, though a kernel is half compiled

    threading.Thread(target=listen, daemon=True).start()
    groups = first_kernels()
    while True:
        number = asked.get()
        compile_group(groups[number])
        sys.stdout.write(f"{number}\n")
        sys.stdout.flush()
