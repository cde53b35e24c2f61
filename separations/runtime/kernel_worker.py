"""A process that compiles kernels, group by group, as another process tells it to.

It reads groups, as the table of first kernels has them, from its standard input, a line each, and
answers each with a line. numba writes the code to its folder, where whoever needs it finds it.
"""

from __future__ import annotations

import importlib
import json
import os
import queue
import sys
import threading
from collections.abc import Mapping
from contextlib import suppress
from typing import Any

from separations.runtime.kernel_types import numba_type


def compile_group(kernels: Mapping[str, list[list[Any]]]) -> None:
    """Compile each kernel of a group for each set of types, or load what is kept of it.

    ``kernels`` is as in a `KernelGroup`. One that cannot be compiled so is left alone: it is
    compiled where it is called.
    """
    for name, sets_of_types in kernels.items():
        module, function = name.split(":")
        for told in sets_of_types:
            with suppress(Exception):  # of numba's, of any kind
                kernel = getattr(importlib.import_module(module), function)
                kernel.compile(tuple(numba_type(argument) for argument in told))


def serve() -> None:
    """Compile what is asked for, until the asking ends or the process that asks does."""
    asked: queue.SimpleQueue[str] = queue.SimpleQueue()

    def listen() -> None:
        for line in sys.stdin:
            asked.put(line)
        os._exit(0)  # at once, though a kernel is half compiled

    threading.Thread(target=listen, daemon=True).start()
    while True:
        compile_group(json.loads(asked.get()))
        sys.stdout.write("compiled\n")
        sys.stdout.flush()
