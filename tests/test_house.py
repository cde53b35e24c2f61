"""The house: what lives where, and that every public name is told."""

from __future__ import annotations

import ast
import subprocess
from pathlib import Path

import pytest

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
