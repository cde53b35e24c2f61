"""A place for compiled code where neither the package nor the home folder can be written."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
from pathlib import Path
from typing import Any

#: How every kernel is compiled: kept for later runs, without the interpreter's lock, and with
#: divisions as numpy has them.
FLAGS: dict[str, Any] = {"nogil": True, "cache": True, "error_model": "numpy"}
#: For kernels that allocate no array: they do without counting references, which costs more than
#: their work where they take many small slices. Callers hand in every array.
NO_ALLOCATION_FLAGS: dict[str, Any] = {**FLAGS, "_nrt": False}


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
