"""How kernels are compiled, and where the code is kept when nothing of the command's is writable.

numba is loaded with the first kernel, not with this module: the command starts without it.
"""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

Kernel = TypeVar("Kernel", bound=Callable[..., Any])

#: How every kernel is compiled: kept for later runs, without the interpreter's lock, with divisions
#: as numpy has them, and without a way in for C programs.
FLAGS: dict[str, Any] = {"nogil": True, "cache": True, "error_model": "numpy",
                         "no_cfunc_wrapper": True}
#: For kernels that allocate no array: they do without counting references, which costs more than
#: their work where they take many small slices. Callers hand in every array.
NO_ALLOCATION_FLAGS: dict[str, Any] = {**FLAGS, "_nrt": False}
#: For those that other kernels alone call: a way in from Python is a sixth of what compiling takes.
INNER_FLAGS: dict[str, Any] = {**NO_ALLOCATION_FLAGS, "no_cpython_wrapper": True}


#: What folders begin with whose code goes with its process.
_PRIVATE = "topsheet-compiled-"


def compiled(function: Kernel) -> Kernel:
    """Compile a kernel that may allocate arrays. numba ignores its annotations; mypy does not."""
    return _compiled(function, FLAGS)


def compiled_on_borrowed_arrays(function: Kernel) -> Kernel:
    """Compile a kernel that works in arrays of its caller's alone; see `NO_ALLOCATION_FLAGS`."""
    return _compiled(function, NO_ALLOCATION_FLAGS)


def inner_kernel(function: Kernel) -> Kernel:
    """Compile a kernel that only kernels call, and that works in arrays of its caller's alone."""
    return _compiled(function, INNER_FLAGS)


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
    kept = Path(os.environ.get("XDG_CACHE_HOME") or _home() / ".cache")
    home = next((p for p in (kept, *kept.parents) if p.exists()), kept)
    if ("NUMBA_CACHE_DIR" in os.environ or os.access(package, os.W_OK)
            or (home.is_dir() and os.access(home, os.W_OK))):
        return
    os.environ["NUMBA_CACHE_DIR"] = _folder_of_this_run()


def need_home_folder() -> None:
    """Give a user whose home is no folder an empty one for this run: libraries look into it.

    Call it before libraries are imported.
    """
    try:
        (_home() / ".profile").stat()
    except (FileNotFoundError, PermissionError):
        return  # libraries cope with a home that is not there
    except (OSError, ValueError):
        for name in ("HOME", "USERPROFILE"):
            os.environ[name] = _folder_of_this_run()


def _home() -> Path:
    try:
        return Path("~").expanduser()
    except RuntimeError:  # a user whom the system does not know
        return Path("/nowhere")


def is_kept_for_good() -> bool:
    """Whether compiled code outlives this process; see `find_place_for_compiled_code`."""
    return not Path(os.environ.get("NUMBA_CACHE_DIR", "")).name.startswith(_PRIVATE)


@cache
def _folder_of_this_run() -> str:
    """A private folder, which goes with this process."""
    place = tempfile.mkdtemp(prefix=_PRIVATE)
    atexit.register(shutil.rmtree, place, ignore_errors=True)
    return place
