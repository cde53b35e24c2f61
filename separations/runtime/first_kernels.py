"""The kernels that a job's first command needs, and whether their code is kept already.

The table beside this module is made anew by ``python -m tests.kernel_table``; a test holds it
against what a job's run calls.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib.metadata
import json
import os
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

TABLE = Path(__file__).with_name("first_kernels.json")
_PACKAGES = Path(__file__).parents[2]
_MOST_OF_CPU_WORDS = 20_000


@dataclass(frozen=True, slots=True)
class KernelGroup:
    """Kernels that share some of what they call, and so are compiled by one process.

    Attributes
    ----------
    seconds : float
        What compiling them took on one machine: which to begin with, and how far along all is.
    kernels : mapping of str to sequence
        For each ``module:function`` the sets of types it is called with, as `numba_type`
        reads them.
    """

    seconds: float
    kernels: Mapping[str, list[list[Any]]]


@lru_cache(maxsize=1)
def first_kernels() -> tuple[KernelGroup, ...]:
    """All groups, the longest first."""
    told = json.loads(TABLE.read_text(encoding="utf-8"))
    return tuple(KernelGroup(group["seconds"], group["kernels"]) for group in told)


def is_prepared() -> bool:
    """Whether the kernels' code is kept, as far as is known without loading the compiler."""
    try:
        return _stamp().read_text(encoding="ascii") == _state()
    except (OSError, UnicodeDecodeError):
        return False


def note_prepared() -> None:
    """Note that the kernels' code is kept now; nothing where that cannot be written."""
    with contextlib.suppress(OSError):
        _stamp().write_text(_state(), encoding="ascii", newline="\n")


def kept_folder() -> Path:
    """The folder in which it stands whether code is kept, made where it is missing.

    Raises
    ------
    OSError
        When it cannot be made.
    """
    if named := os.environ.get("NUMBA_CACHE_DIR"):
        folder = Path(named)
    elif os.access(Path(__file__).parent, os.W_OK):
        folder = Path(__file__).parent / "__pycache__"
    else:
        cache = os.environ.get("XDG_CACHE_HOME") or Path("~/.cache").expanduser()
        folder = Path(cache) / "topsheet"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def _stamp() -> Path:
    ours = hashlib.sha256(str(_PACKAGES).encode()).hexdigest()[:16]
    return kept_folder() / f"topsheet-prepared-{ours}"


def _state() -> str:
    """What kept code stands and falls with: the modules' files, the compiler, the processor."""
    state = hashlib.sha256(TABLE.read_bytes())
    modules = {name.split(":")[0] for group in first_kernels() for name in group.kernels}
    for module in sorted(modules):
        told = _PACKAGES.joinpath(*module.split(".")).with_suffix(".py").stat()
        state.update(f"{module} {told.st_mtime_ns} {told.st_size}\n".encode())
    state.update(f"{importlib.metadata.version('numba')} {sys.version} {_processor()}".encode())
    return state.hexdigest()


def _processor() -> str:
    """What Linux says of the first processor's kind; elsewhere nothing."""
    try:
        with Path("/proc/cpuinfo").open(encoding="ascii", errors="replace") as told:
            words = told.read(_MOST_OF_CPU_WORDS).split("\n\n")[0]
    except OSError:
        return ""
    return "\n".join(line for line in words.splitlines()
                     if line.startswith(("model name", "flags", "Features", "CPU part")))
