"""Memory that goes back to the system as soon as an array is done with."""

from __future__ import annotations

import ctypes
import sys

#: Blocks from this size on are the system's own and go back to it. The C library would raise its
#: own limit to 32 MiB as it goes, and keep what it has had: a third more for a run.
OWN_BLOCK_BYTES = 16 * 2**20
_M_MMAP_THRESHOLD = -3  # from malloc.h of the GNU C library


def return_large_blocks() -> bool:
    """Keep the GNU C library's limit for blocks of their own low; whether it could be set."""
    if not sys.platform.startswith("linux"):
        return False
    try:
        return bool(ctypes.CDLL(None).mallopt(_M_MMAP_THRESHOLD, OWN_BLOCK_BYTES))
    except (AttributeError, OSError):  # another C library
        return False
