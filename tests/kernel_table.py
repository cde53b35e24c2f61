"""Makes the table of first kernels anew: ``python -m tests.kernel_table`` (some minutes).

Runs the demo's commands with all code kept, notes with which types Python calls kernels, and times
how long each takes to compile.
"""

from __future__ import annotations

import importlib
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from separations.runtime.first_kernels import TABLE
from separations.runtime.kernel_types import numba_type

Called = dict[str, list[list[Any]]]
#: What the demo goes through, each in a process of its own.
COMMANDS = ("check", "proof", "run", "ink", "films")
_JOB = Path(__file__).parents[1] / "demo_art" / "fen_lane_158.toml"
_OURS = ("preflight", "separations")


def told_type(numba: Any) -> Any:
    """What the table tells of one of numba's types; `numba_type` reads it."""
    types: Any = importlib.import_module("numba.core.types")
    if isinstance(numba, types.Array):
        read_only = "" if numba.mutable else "r"
        return f"{numba.dtype}[{numba.ndim}{numba.layout}{read_only}]"
    if isinstance(numba, types.NamedTuple | types.NamedUniTuple):
        of_class = numba.instance_class
        return {f"{of_class.__module__}.{of_class.__qualname__}": [told_type(t) for t in numba]}
    if isinstance(numba, types.BaseTuple):
        return [told_type(t) for t in numba]
    return str(numba)


def loaded_kernels() -> Iterator[tuple[str, Any]]:
    """The compiled functions of our modules that are loaded, as ``module:function``."""
    from numba.core.dispatcher import Dispatcher

    for name, module in sorted(sys.modules.items()):
        if name.split(".")[0] in _OURS:
            for function, value in vars(module).items():
                if isinstance(value, Dispatcher) and value.py_func.__module__ == name:
                    yield f"{name}:{function}", value


def called_kernels() -> Called:
    """Kernels that this process has called from Python, where all code was kept."""
    return {name: [[told_type(t) for t in types] for types in kernel.overloads]
            for name, kernel in loaded_kernels() if kernel.overloads}


def kernels_within(kernel: Any) -> set[Any]:
    """All kernels that a kernel calls, at any depth."""
    found: set[Any] = set()
    waiting = [kernel]
    while waiting:
        function = waiting.pop().py_func
        for name in function.__code__.co_names:
            inner = function.__globals__.get(name)
            if hasattr(inner, "py_func") and inner not in found:
                found.add(inner)
                waiting.append(inner)
    return found


def groups_of(names: Iterable[str]) -> list[list[str]]:
    """The kernels that share some inner kernel, directly or by way of others, together."""
    groups: list[tuple[set[Any], list[str]]] = []
    for name in names:
        module, function = name.split(":")
        within = kernels_within(getattr(importlib.import_module(module), function))
        together = [name]
        for group in [group for group in groups if group[0] & within]:
            groups.remove(group)
            within, together = within | group[0], group[1] + together
        groups.append((within, together))
    return [names for _, names in groups]


def timed(called: Called) -> float:
    """Processor time (s) that compiling takes in this process."""
    begun = time.process_time()
    for name, sets_of_types in called.items():
        module, function = name.split(":")
        kernel = getattr(importlib.import_module(module), function)
        for types in sets_of_types:
            kernel.compile(tuple(numba_type(t) for t in types))
    return time.process_time() - begun


def _noted(command: str) -> Called:
    """What one of the demo's commands calls, with all code kept by a run before."""
    program = ("import atexit, json, sys\n"
               "from separations.command_line import main\n"
               "from tests.kernel_table import called_kernels\n"
               "told = open(sys.argv.pop(), 'w')\n"
               "atexit.register(lambda: json.dump(called_kernels(), told))\n"
               "main()\n")
    with tempfile.TemporaryDirectory() as folder:
        told = Path(folder) / "called.json"
        out = [] if command == "check" else ["--out", str(Path(folder) / "out")]
        for _ in range(2):
            subprocess.run([sys.executable, "-c", program, command, str(_JOB), *out, str(told)],
                           check=False, stdout=subprocess.DEVNULL)
        return json.loads(told.read_text(encoding="utf-8"))  # type: ignore[no-any-return]


def merged(parts: Iterable[Mapping[str, list[list[Any]]]]) -> Called:
    """All kernels of several, each set of types once."""
    whole: Called = {}
    for part in parts:
        for name, sets_of_types in part.items():
            known = whole.setdefault(name, [])
            known += [types for types in sets_of_types if types not in known]
    return dict(sorted(whole.items()))


def table(called: Called) -> list[dict[str, Any]]:
    """The table: groups with the time that each takes to compile, the longest first."""
    with tempfile.TemporaryDirectory() as folder:
        rows = []
        for names in groups_of(called):
            part = {name: called[name] for name in names}
            program = ("import json, sys\nfrom tests.kernel_table import timed\n"
                       "print(timed(json.loads(sys.argv[1])))")
            done = subprocess.run([sys.executable, "-c", program, json.dumps(part)], check=True,
                                  text=True, capture_output=True,
                                  env={**os.environ, "NUMBA_CACHE_DIR": folder})
            rows.append({"seconds": round(float(done.stdout), 1), "kernels": part})
    return sorted(rows, key=lambda row: -float(row["seconds"]))


if __name__ == "__main__":
    TABLE.write_text(json.dumps(table(merged(map(_noted, COMMANDS))), indent=1) + "\n",
                     encoding="utf-8")
