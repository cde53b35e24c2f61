"""What the code says to its users, as far as a test can read it."""

from __future__ import annotations

import ast
import re
from pathlib import Path

from preflight.checks.limits import all_limits
from preflight.findings import Figure
from preflight.nouns import SINGULAR, counted, unit_of
from tests.sentences import ROOT, sentences

#: A count filled in, and a noun in the plural after it.
_BARE = re.compile(r"\{[^{}]*\b(?:len|count|sum|pulls|boards|hits|days|tins|colours)\b[^{}]*\} "
                   r"(?:[a-z]+ )?[a-z]{2,}s\b")
#: Such counts that are never one: they are refused for being many, told only when there are
#: several, or counted against a sum ("1 of its 4 register crosses").
_NEVER_ONE = (
    "points, or curves", "an outline of {len(best.points)} points", "a path of {len(text)} letters",
    "{len(inks)} hits, none", "{len(places)} places", "{len(job.art)} artworks",
    "{len(job.ink)} inks",
    "{len(job.photo_inks)} inks in the photograph", "{len(job.track)} tracks", "{count} points",
    "{len(stock.ink)} inks", "{len(sheet.piece)} pieces", "{outcome.pulls} pulls print",
    "({len(film.panels)} panels)", "in {len(film.panels)} panels", "{count} sheets, {tiling",
    "of its 4 register crosses", "{len(pdf.pages)} pages", "{len(tiff.pages)} pages",
    "{len(x)} holes", "{count} {key}s", "a spectrum of {len(figures)} figures",
    "on the films, {sum(", "} of its {wanted}", "{opened.count} bands",
    "{len(all_of_them)} closed rings", "{counted(", "{days} days before", "class=\"reference\"",
    "<p>Likely figures, with low and high", "{len(ROW_LETTERS)} rows", "{count} pages and no",
    "Of its {count} pages page", "of {len(asked)} patches",
     "light lies beyond the picture's levels")


def test_a_count_goes_with_its_noun() -> None:
    assert (counted(1, "film"), counted(4, "film"), counted(0, "entry", "entries")) == (
        "1 film", "4 films", "0 entries")
    assert counted(12_000, "point") == "12,000 points"
    told = [one for one in sentences() if _BARE.search(one.text)
            and not any(words in one.text for words in _NEVER_ONE)]
    assert not told, "preflight.nouns.counted tells one from several"


def test_one_of_a_unit_is_in_the_singular() -> None:
    assert str(Figure(value=1.0, unit="marks (own scale)")) == "1 mark (own scale)"
    assert str(Figure(value=1.2, unit="marks (own scale)")) == "1.2 marks (own scale)"
    assert str(Figure(value=0, unit="readings")) == "0 readings"
    assert unit_of("1", "mm²") == "mm²"
    assert [str(Figure(value=-7.5, unit=unit)) for unit in ("°", "° to the length", "°C")] == [
        "−7.5°", "−7.5° to the length", "−7.5 °C"]
    assert str(Figure(value=0, unit="ΔE00", bound="at least")) == "at least ΔE00 0"
    units = {limit.unit for limit in all_limits()}
    for path in (ROOT / "preflight" / "checks").glob("*.py"):
        units |= set(re.findall(r'unit="([^"]+)"', path.read_text(encoding="utf-8")))
    plural = {unit for unit in units if re.search(r"^([a-z]+ )?[a-z]{3,}s( |$)", unit)
              and not re.match(r"(mm|cm²|px|true px|times|of) ", unit)}
    assert plural <= set(SINGULAR), "a unit of several without its singular"
    assert {unit for unit in SINGULAR if not unit[0].isalpha()} == set()


def _asked_for() -> list[tuple[Path, str]]:
    """What would do in place of each bad input, as far as it is written where it is told."""
    found = []
    for path in (*(ROOT / "preflight").rglob("*.py"), *(ROOT / "separations").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.keyword) and node.arg == "would_do":
                parts = [part for part in ast.walk(node.value) if isinstance(part, ast.Constant)
                         and isinstance(part.value, str)]
                first = node.value.values[0] if isinstance(node.value, ast.JoinedStr) else \
                    node.value
                if isinstance(first, ast.Constant) and parts:
                    found.append((path, "".join(str(part.value) for part in parts)))
    return found


def test_what_would_do_is_a_thing_to_give() -> None:
    """It stands in "found X; Y would do.": a noun phrase, without an end of its own."""
    asked = _asked_for()
    assert len(asked) > 150
    for path, text in asked:
        where = f"{path.relative_to(ROOT)}: {text}"
        assert not text.endswith((".", "would do")), where
        assert not re.match(r"(it|they|them|for example|use|set|give|take|make|no less|"
                            r"each once)\b", text, re.IGNORECASE), where


def test_words_that_no_printer_would_use_are_gone() -> None:
    for words in (r"\d ?um\b", r"\bdE00 (?!and)", r"the trade tells", r"\bthirst", r"\bnosewards\b",
                  r"over nineteen twentieths", r"looks for it", r"is led to"):
        told = [one for one in sentences() if re.search(words, one.text)]
        assert not told, told[:3]
