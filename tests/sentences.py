"""Every sentence that the code holds for its users: ``python -m tests.sentences`` prints them.

Texts of two words or more in the packages, with what f-strings fill in as code in braces;
docstrings are left out, but for those that the command shows as its help.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parent.parent


class Sentence(NamedTuple):
    """A text, and where it stands."""

    file: str
    line: int
    text: str


@cache
def sentences() -> tuple[Sentence, ...]:
    """All of them, file by file."""
    return tuple(told for package in ("preflight", "separations")
                 for path in sorted((ROOT / package).rglob("*.py")) for told in sorted(_of(path)))


def _of(path: Path) -> Iterator[Sentence]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    skipped = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            skipped |= {id(part) for part in ast.walk(node)} - {id(node)}
        elif isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef):
            first = node.body[0] if node.body else None
            is_help = isinstance(node, ast.FunctionDef) and any(
                "command" in ast.unparse(one) for one in node.decorator_list)
            if isinstance(first, ast.Expr) and not is_help:
                skipped.add(id(first.value))
    for node in ast.walk(tree):
        text = "" if id(node) in skipped else _text(node)
        if " " in text.strip() and len(re.findall(r"[A-Za-z]{2,}", text)) > 1:
            yield Sentence(path.relative_to(ROOT).as_posix(), getattr(node, "lineno", 0),
                           " ".join(text.split()))


def _text(node: ast.AST) -> str:
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else ""
    if not isinstance(node, ast.JoinedStr):
        return ""
    return "".join(
        str(part.value) if isinstance(part, ast.Constant) else
        "{" + ast.unparse(part.value) + "}" if isinstance(part, ast.FormattedValue) else ""
        for part in node.values)


def main() -> None:
    """Print all sentences under their files."""
    last = ""
    for file, line, text in sentences():
        if file != last:
            print(f"\n## {file}")  # noqa: T201
            last = file
        print(f"{line}: {text}")  # noqa: T201


if __name__ == "__main__":
    main()
