"""Memory that goes back to the system as soon as an array is done with."""

from __future__ import annotations

import ctypes
import sys
from typing import Any

#: Blocks from this size on are the system's own and go back to it. The C library would raise its
#: own limit to 32 MiB as it goes, and keep what it has had.
OWN_BLOCK_BYTES = 16 * 2**20
#: Heaps that all threads share: one more for each thread would keep its own leavings.
HEAPS = 2
#: What a heap may keep at its end: bands come and go there, and each would be asked for anew.
KEPT_AT_END_BYTES = 256 * 2**20
_M_TRIM_THRESHOLD, _M_MMAP_THRESHOLD, _M_ARENA_MAX = -1, -3, -8  # from the GNU C library's malloc.h


def return_large_blocks() -> bool:
    """Keep the GNU C library's limit for blocks of their own low; whether it could be set."""
    try:
        set_option = _c_library().mallopt
        return all([set_option(_M_MMAP_THRESHOLD, OWN_BLOCK_BYTES),
                    set_option(_M_TRIM_THRESHOLD, KEPT_AT_END_BYTES),
                    set_option(_M_ARENA_MAX, HEAPS)])
    except (AttributeError, OSError):  # another C library
        return False


def give_back_free_memory() -> bool:
    """Give back at once what the GNU C library keeps of memory that is free; whether it could be.

    After a step that came and went in many bands that is a fifth of what the process holds, and
    takes a hundredth of a second.
    """
    try:
        _c_library().malloc_trim(0)
    except (AttributeError, OSError):  # another C library
        return False
    return True


def _c_library() -> Any:
    """Linux's C library; on other systems nothing that has any function."""
    return ctypes.CDLL(None) if sys.platform == "linux" else None
