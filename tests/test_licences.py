"""The table of licences in DEVELOPERS.md agrees with what is installed."""

from __future__ import annotations

import importlib.metadata as metadata
import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
#: Words by which the families of licences are known in the libraries' own statements.
FAMILIES = {"MIT": ("MIT",), "BSD": ("BSD",), "Apache": ("Apache",), "MPL": ("MPL", "Mozilla"),
            "PSF": ("PSF", "Python Software Foundation")}
NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def needed() -> set[str]:
    """What topsheet and its extras need to run, and what that needs, as far as it is here."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    found: set[str] = set()
    extras = project["optional-dependencies"]
    wanted = [*project["dependencies"], *extras["cluster"], *extras["terrain"]]
    while wanted:
        requirement = wanted.pop()
        match = NAME.match(requirement)
        if match is None or "extra ==" in requirement:
            continue
        name = plain(match[0])
        try:
            brings = metadata.requires(name) or []
        except metadata.PackageNotFoundError:
            continue  # for another system
        if name not in found:
            found.add(name)
            wanted += brings
    return found


def table() -> dict[str, str]:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("## Licences\n", 1)[1]
    rows = re.findall(r"^\| ([a-z0-9-]+) \| ([^|]+) \|$", text.split("\n## ", 1)[0], re.MULTILINE)
    return dict(rows[1:] if rows[0][0] == "library" else rows)


def test_every_library_has_a_row() -> None:
    assert needed() - table().keys() == set()


@pytest.mark.parametrize("name", sorted(needed()))
def test_the_row_says_what_the_library_says(name: str) -> None:
    told = table()[name]
    facts = metadata.metadata(name)
    own = " ".join(text[:400] for field in ("License-Expression", "License", "Classifier")
                   for text in facts.get_all(field) or [])
    families = [family for family in FAMILIES if family in told]
    assert families, "a licence of no known family"
    for family in families:
        assert any(word in own for word in FAMILIES[family]), own[:300]
    assert not re.search(r"\bA?GPL|\bLGPL", own.split("Programming")[0]), "copyleft: decide on it"
