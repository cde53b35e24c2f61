"""A watch over the memory that a command holds, which ends it before the system would.

A system without free memory ends programs without a word. The watch looks at what this process
holds many times a second, and at what the machine has left.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import psutil

#: Own rule: what other programs and the system itself need of the machine.
_LEFT_TO_OTHERS = 0.12
#: Below this share of its memory, free or to be had, a machine is close to ending programs.
_LEAST_AVAILABLE = 0.03
_BETWEEN_LOOKS_S = 0.05
#: How long the main thread may take to end by itself (s), and how far past the bound it may go
#: before it is not waited for any longer.
_GRACE_S, _FURTHER = 3.0, 1.06
#: Limits of a group of processes (cgroup, version 2 and 1).
_GROUP_LIMITS = ("/sys/fs/cgroup/memory.max", "/sys/fs/cgroup/memory/memory.limit_in_bytes")


def machine_memory() -> int:
    """The memory (bytes) that this machine, or this process's share of it, has in all."""
    limits = [int(psutil.virtual_memory().total)]
    for name in _GROUP_LIMITS:
        try:
            told = Path(name).read_text(encoding="ascii").strip()
        except (OSError, ValueError):
            continue
        if told.isdigit():
            limits.append(int(told))
    return min(limits)


class MemoryWatch:
    """Looks after the memory of this process in a thread of its own.

    Parameters
    ----------
    bound : int, optional
        What the process may hold (bytes); 88 % of the machine's memory where none is given.
    at_last : callable
        Called when the main thread does not end by itself, e.g. in a long library call; it must
        not return.

    Attributes
    ----------
    found : str
        What was found when the bound was passed; empty until then.
    was_set : bool
        Whether the bound is one that was given.
    """

    def __init__(self, at_last: Callable[[], None], bound: int | None = None) -> None:
        self.bound = int(machine_memory() * (1 - _LEFT_TO_OTHERS)) if bound is None else bound
        self.was_set = bound is not None
        self.found = ""
        self._at_last = at_last
        self._ended = threading.Event()
        self._process = psutil.Process()

    def start(self) -> None:
        """Begin to watch; only in the main thread, which is the one that is asked to end."""
        threading.Thread(target=self._watch, name="memory watch", daemon=True).start()

    def end(self) -> None:
        """Watch no longer."""
        self._ended.set()

    def _watch(self) -> None:
        while not self._ended.wait(_BETWEEN_LOOKS_S):
            self.found = self._fault()
            if self.found:
                _ask_main_thread_to_end()
                self._wait_for_the_end()
                return

    def _fault(self) -> str:
        held = self._process.memory_info().rss
        if held > self.bound:
            return f"a need for more than {self.bound // 2**20:,} MiB of memory"
        machine = psutil.virtual_memory()
        # Another program may be the one that takes it all: then this one is no cure.
        if machine.available < _LEAST_AVAILABLE * machine.total < held:
            return f"no memory left with {held // 2**20:,} MiB taken"
        return ""

    def _wait_for_the_end(self) -> None:
        for _ in range(int(_GRACE_S / _BETWEEN_LOOKS_S)):
            if self._ended.wait(_BETWEEN_LOOKS_S):
                return
            if self._process.memory_info().rss > _FURTHER * self.bound:
                break
        self._at_last()


def _ask_main_thread_to_end() -> None:
    """Send the main thread the signal that stops a command; a wait for other threads ends too."""
    main = threading.main_thread().ident
    if sys.platform == "win32" or main is None or not hasattr(signal, "pthread_kill"):
        signal.raise_signal(signal.SIGTERM)
    else:
        signal.pthread_kill(main, signal.SIGTERM)


def leave_at_once(status: int) -> None:
    """End the process with a status though its threads are at work; nothing is cleared up."""
    os._exit(status)
