"""The table of licences in DEVELOPERS.md agrees with what is installed."""

from __future__ import annotations

import importlib.metadata as metadata
import re
import tomllib
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

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


#: What is shipped and was not written here, and the file beside it that tells its licence.
OTHERS_WORK = {"DejaVuSans.ttf": "DejaVuSans-LICENSE.txt",
               "DejaVuSans-Bold.ttf": "DejaVuSans-LICENSE.txt"}
#: Endings of what is written here: code, pages, words and figures.
OWN = {".py", ".js", ".css", ".html", ".toml", ".json", ".typed"}


def shipped() -> list[Path]:
    every = [path for package in ("preflight", "separations")
             for path in sorted((ROOT / package).rglob("*"))]
    return [path for path in every if path.is_file() and "__pycache__" not in path.parts]


def test_nothing_of_others_is_shipped_without_its_licence() -> None:
    strange = {path.name: path for path in shipped() if path.suffix not in OWN}
    own_pictures = {"icon.svg"}
    assert strange.keys() - own_pictures == OTHERS_WORK.keys() | set(OTHERS_WORK.values())
    for name, licence in OTHERS_WORK.items():
        told = strange[name].with_name(licence).read_text(encoding="utf-8")
        assert name in told
        font = TTFont(strange[name])
        assert font["name"].getDebugName(5) == "Version 2.37"
        assert "2.37" in told
        assert "Permission is hereby granted, free of charge" in told


def test_pages_hold_no_code_of_others_and_ask_for_none() -> None:
    pages = [path for path in shipped() if path.suffix in {".js", ".css", ".html", ".svg"}]
    assert len(pages) > 40
    for path in pages:
        text = path.read_text(encoding="utf-8").replace('"http://www.w3.org/2000/svg"', "")
        assert not re.search(r"https?://|@licen[cs]e|copyright|sourceMappingURL", text, re.I), path
        named = re.findall(r'^(?:import|export|\}).*?\bfrom "([^"]+)"', text, re.MULTILINE)
        named += re.findall(r'\bimport *\(? *"([^"]+)"', text)
        assert all((path.parent / module).is_file() for module in named), (path, named)
