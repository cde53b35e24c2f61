"""The house: what lives where, and that every public name is told."""

from __future__ import annotations

import ast
import re
import subprocess
import tomllib
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.stale_kernels import import_graph, imported_modules, reached

ROOT = Path(__file__).parent.parent
MODULES = sorted(p for package in ("preflight", "separations") for p in
                 (ROOT / package).rglob("*.py"))
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "preflight", "separations",
             "tests", "demo_art"}


def test_the_top_level_is_fixed() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True,
                            check=True).stdout.split("\n")
    tops = {line.split("/")[0] for line in listed if line}
    assert {t for t in tops if not t.startswith(".")} == TOP_LEVEL


def test_an_installation_has_every_folder_and_file() -> None:
    """All folders with code are listed as packages, and each file of theirs fits a pattern."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    told = project["tool"]["setuptools"]
    folders = {path.parent for path in MODULES}
    assert {folder.relative_to(ROOT).as_posix().replace("/", ".") for folder in folders} == set(
        told["packages"]) - set(told["package-dir"])
    listed = subprocess.run(["git", "ls-files", "preflight", "separations"], cwd=ROOT, text=True,
                            capture_output=True, check=True).stdout.splitlines()
    for name in (Path(line) for line in listed if not line.endswith(".py")):
        package = next(folder for folder in name.parents if ROOT / folder in folders)
        patterns = (*told["package-data"]["*"],
                    *told["package-data"].get(package.as_posix().replace("/", "."), ()))
        assert any(name.relative_to(package).match(pattern) for pattern in patterns), name


def test_no_module_name_occurs_twice() -> None:
    names = Counter(path.name for path in MODULES if path.name != "__init__.py")
    assert [name for name, count in names.items() if count > 1] == []


@pytest.mark.parametrize("path", [p for p in MODULES if p.name == "__init__.py"], ids=str)
def test_init_files_hold_a_docstring_only(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree)
    assert len(tree.body) == 1


@pytest.mark.parametrize("path", MODULES, ids=lambda p: p.relative_to(ROOT).as_posix())
def test_modules_are_short_and_every_public_name_is_told(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count("\n") <= 300, "one idea a module"
    tree = ast.parse(text)
    assert ast.get_docstring(tree)
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            assert ast.get_docstring(node), node.name


def test_no_figure_of_units_stands_elsewhere() -> None:
    for path in MODULES:
        if path.name == "units.py":
            continue
        numbers = [n.value for n in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
                   if isinstance(n, ast.Constant)]
        assert 25.4 not in numbers, path


def test_text_is_written_alike_on_every_system() -> None:
    """Each text file's coding and line ends are told: systems differ in what they take for granted.

    Only reading takes all line ends for one, whatever the system.
    """
    for path in MODULES:
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(call, ast.Call) or not isinstance(call.func, ast.Attribute):
                continue
            told = {word.arg for word in call.keywords}
            place = f"{path.relative_to(ROOT)}:{call.lineno}"
            if call.func.attr in {"read_text", "write_text"}:
                assert "encoding" in told, place
            if call.func.attr == "write_text":
                assert "newline" in told, place


#: Public names that no module uses, and why they are there.
ASKED_FOR_BY_OTHERS = {
    "main": "the command's entry point, named in pyproject.toml",
    "serve": "begun by its name in a process of its own",
    **dict.fromkeys(("tell_facts", "lacking_files", "keep_files", "make_in_place", "make_of_kept"),
                    "called by its name on a worker of a cluster"),
    "held_bytes": "tells whoever holds a session what it keeps",
    "fit_print_model": "the measured model, which the published figures of accuracy are of",
    "FILM_WINDOWS": "a stage that sessions are asked for",
    "QUICK_FINDINGS": "a stage that sessions are asked for",
}


class Named(NamedTuple):
    """A public name, and the lines on which it is defined."""

    name: str
    path: Path
    first: int
    last: int

    def holds(self, path: Path, line: int) -> bool:
        """Whether a line is part of its definition."""
        return path == self.path and self.first <= line <= self.last


def _public_names(path: Path, tree: ast.Module) -> Iterator[Named]:
    """Functions, classes, constants and methods; not methods that a base of others may call."""
    ours = {node.name for node in ast.walk(tree) if isinstance(node, ast.ClassDef)}
    for node in tree.body:
        found: list[tuple[str, ast.stmt]] = []
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            found.append((node.name, node))
        elif isinstance(node, ast.Assign):
            found += [(t.id, node) for t in node.targets if isinstance(t, ast.Name)]
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            found.append((node.target.id, node))
        if isinstance(node, ast.ClassDef) and all(
                isinstance(base, ast.Name) and base.id in ours | {"NamedTuple", "Protocol"}
                for base in node.bases):
            found += [(m.name, m) for m in node.body if isinstance(m, ast.FunctionDef)]
        for name, part in found:
            if not name.startswith("_") and path.name != "limits.py":  # the report shows all rows
                yield Named(name, path, part.lineno, part.end_lineno or part.lineno)


def _uses(tree: ast.Module) -> Iterator[tuple[str, int]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            yield node.id, node.lineno
        elif isinstance(node, ast.Attribute):
            yield node.attr, node.lineno
        elif isinstance(node, ast.ImportFrom):
            for alias in node.names:
                yield alias.name, node.lineno


def test_no_public_name_is_there_for_tests_alone() -> None:
    """Each is used by a module besides its own definition and those of names that are not used.

    Uses are told by the name alone, so a name that two things share counts for both.
    """
    names: list[Named] = []
    uses: dict[str, list[tuple[Path, int]]] = defaultdict(list)
    for path in MODULES:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        names += _public_names(path, tree)
        for name, line in _uses(tree):
            uses[name].append((path, line))
    idle: set[Named] = set()
    while True:
        more = {n for n in names if n.name not in ASKED_FOR_BY_OTHERS and n not in idle and all(
            n.holds(*use) or any(other.holds(*use) for other in idle) for use in uses[n.name])}
        if not more:
            break
        idle |= more
    assert sorted(f"{n.path.relative_to(ROOT)}: {n.name}" for n in idle) == []
    told = {n.name for n in names}
    assert set(ASKED_FOR_BY_OTHERS) <= told, "a name that is gone"
    project = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    assert re.search(r"separations\.command_line:main", project)


def test_every_module_is_imported_by_some_test() -> None:
    """Directly, or through what a test imports; packages hold a docstring only."""
    tests = list((ROOT / "tests").rglob("test_*.py"))
    start = {module for path in tests for module in imported_modules(path, ROOT)}
    graph = import_graph(ROOT)
    missed = {path for path in MODULES if path.name != "__init__.py"} - reached(start, graph)
    assert sorted(path.relative_to(ROOT).as_posix() for path in missed) == []
