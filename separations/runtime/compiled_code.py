"""How kernels are compiled, and where the code is kept when nothing of the command's is writable.

numba is loaded with the first kernel, not with this module: the command starts without it.
"""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

Kernel = TypeVar("Kernel", bound=Callable[..., Any])

#: How every kernel is compiled: kept for later runs, without the interpreter's lock, and with
#: divisions as numpy has them.
FLAGS: dict[str, Any] = {"nogil": True, "cache": True, "error_model": "numpy"}
#: For kernels that allocate no array: they do without counting references, which costs more than
#: their work where they take many small slices. Callers hand in every array.
NO_ALLOCATION_FLAGS: dict[str, Any] = {**FLAGS, "_nrt": False}


def compiled(function: Kernel) -> Kernel:
    """Compile a kernel that may allocate arrays. numba ignores its annotations; mypy does not."""
    return _compiled(function, FLAGS)


def compiled_on_borrowed_arrays(function: Kernel) -> Kernel:
    """Compile a kernel that works in arrays of its caller's alone; see `NO_ALLOCATION_FLAGS`."""
    return _compiled(function, NO_ALLOCATION_FLAGS)


def _compiled(function: Kernel, flags: dict[str, Any]) -> Kernel:
    from numba import njit

    made: Kernel = njit(**flags)(function)
    return made


def find_place_for_compiled_code() -> None:
    """Let compiled code be kept for this run only, where it cannot be kept for good.

    The folder is private to this process and goes with it: a shared one could be filled by others.
    Call it before any module with compiled code is imported.
    """
    package = Path(__file__).parent
    cache = Path(os.environ.get("XDG_CACHE_HOME") or Path("~/.cache").expanduser())
    home = next((p for p in (cache, *cache.parents) if p.exists()), cache)
    if "NUMBA_CACHE_DIR" in os.environ or os.access(package, os.W_OK) or os.access(home, os.W_OK):
        return
    place = tempfile.mkdtemp(prefix="topsheet-compiled-")
    os.environ["NUMBA_CACHE_DIR"] = place
    atexit.register(shutil.rmtree, place, ignore_errors=True)
