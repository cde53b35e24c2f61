"""Which compiled code an edit may have changed: that of modules which reach the edited one.

numba notices an edit of a function's own file, not of the files that it calls into.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from pathlib import Path

PACKAGES = ("preflight", "separations")


def imported_modules(path: Path, root: Path) -> Iterator[Path]:
    """The modules of our packages that a file imports, anywhere in it."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names: list[str] = []
        if isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        for name in names:
            module = root.joinpath(*name.split(".")).with_suffix(".py")
            if name.split(".")[0] in PACKAGES and module.is_file():
                yield module


def import_graph(root: Path) -> dict[Path, set[Path]]:
    """What each module of our packages imports of them."""
    return {path: set(imported_modules(path, root)) for package in PACKAGES
            for path in (root / package).rglob("*.py")}


def reached(start: Iterable[Path], graph: Mapping[Path, set[Path]]) -> set[Path]:
    """These modules and all that they import, directly or not."""
    found: set[Path] = set()
    waiting = list(start)
    while waiting:
        path = waiting.pop()
        if path not in found:
            found.add(path)
            waiting += graph.get(path, ())
    return found


def stale_kernels(root: Path) -> list[Path]:
    """Kept compiled code older than a module which its own module reaches by imports.

    numba names a kept file after its module and function: ``group4._code-150.py311.nbi``. What
    has no module any more is stale too.
    """
    graph = import_graph(root)
    newest: dict[Path, float] = {}
    stale = []
    for package in PACKAGES:
        for kept in sorted((root / package).rglob("*.nb[ic]")):
            module = kept.parent.parent / f"{kept.name.split('.')[0]}.py"
            if module not in newest:
                newest[module] = max((path.stat().st_mtime for path in reached([module], graph)
                                      if path.is_file()), default=0.0)
            with suppress(FileNotFoundError):  # another session of tests has just forgotten it
                if not module.is_file() or kept.stat().st_mtime < newest[module]:
                    stale.append(kept)
    return stale
