"""The page as text: every number from report.json, names inert, landmarks and labels in order."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from importlib.resources import files
from itertools import pairwise
from typing import Any

import jsonschema
import pytest

from preflight.findings import Figure, Place
from separations.proof.shown_pictures import (
    BoardViews,
    FilmLayer,
    ReportPicture,
    ReportTable,
)
from separations.report.page.board_view import share_of
from separations.report.page.shown_figures import ShownFigures
from separations.report.report_figures import figures_of
from separations.report.report_page import report_html
from tests.separations.report.conftest import Written

FRAME = Place(least_x_mm=-100, least_y_mm=-20, greatest_x_mm=100, greatest_y_mm=20)
PICTURE = ReportPicture(title="Heat of <dots>", alt='A "map"', caption="As it is.", data=b"\xff",
                        media_type="image/png")


class PageReader(HTMLParser):
    """Elements in order, the text outside figures, and the figures with what they show."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.figures: list[tuple[dict[str, str | None], str]] = []
        self.texts: list[str] = []
        self._open: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag in ("data", "style", "script"):
            self._open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if self._open and self._open[-1] == tag:
            self._open.pop()

    def handle_data(self, data: str) -> None:
        if not self._open:
            self.texts.append(data)
        elif self._open[-1] == "data":
            self.figures.append((self.elements[-1][1], data))


def every_text(tree: Any) -> list[str]:
    if isinstance(tree, dict):
        return [text for value in tree.values() for text in every_text(value)]
    if isinstance(tree, list):
        return [text for value in tree for text in every_text(value)]
    return [tree] if isinstance(tree, str) else []


def unaccounted_digits(page: str, figures: dict[str, Any]) -> str:
    """What is left with a digit when report.json's own texts are taken out of the page's."""
    text = "\n".join(PageReader(page).texts)
    for known in sorted({*every_text(figures), "ΔE00"}, key=len, reverse=True):
        if re.search(r"\d", known):
            text = text.replace(known, "")
    return " ".join(line for line in text.split("\n") if re.search(r"\d", line))


def test_every_number_of_the_page_is_in_the_report(written: Written) -> None:
    reader, shown = PageReader(written.page), ShownFigures(written.figures)
    assert len(reader.figures) > 200
    for attributes, text in reader.figures:
        pointer, value = attributes["data-figure"], attributes["value"]
        assert pointer
        assert value is not None
        held = shown.at(pointer)
        assert float(value) == held
        digits = len(text.partition(".")[2])
        factor = float(attributes.get("data-factor") or 1)
        brief = str(Figure(value=held, unit=""))
        assert text in (f"{held * factor:.{digits}f}", brief)
    assert unaccounted_digits(written.page, written.figures) == ""


def test_a_number_from_elsewhere_would_be_found(written: Written) -> None:
    page = written.page.replace("</footer>", " 98765.4 mm</footer>")
    assert "98765.4 mm" in unaccounted_digits(page, written.figures)


def test_the_report_keeps_its_schema_with_pictures_and_tables(written: Written) -> None:
    schema = json.loads(files("separations.report").joinpath("report_schema.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(written.figures, schema)
    numbers = [f["number"] for f in written.figures["findings"]]
    assert sorted(numbers) == list(range(1, len(numbers) + 1))
    more = figures_of(extended(written))
    jsonschema.validate(more, schema)
    assert more["pictures"][-1]["title"] == "Heat of <dots>"
    assert more["tables"][0]["rows"] == [["a < b", "7"]]
    broken: dict[str, Any]
    for broken in ({"verdict": {}}, {"ink_total": {}}, {"pictures": [{}]}, {"tables": [{}]}):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(more | broken, schema)


def extended(written: Written) -> Any:
    return replace(written.outcome, extra_pictures=(PICTURE,), extra_tables=(
        ReportTable(title="Limits", heads=("Of", "#mm"), rows=(("a < b", "7"),)),))


def views(*layers: FilmLayer) -> BoardViews:
    return BoardViews(
        proof=replace(PICTURE, title="The board"), frame=FRAME, trims=(((0, 0), (9, 0), (9, 9)),),
        wood_srgb=(200, 180, 140), solids_srgb=((1, 2, 3),) * 4, layers=layers, near=())


def test_extra_pictures_and_tables_are_shown_inert(written: Written) -> None:
    page = report_html(extended(written), views())
    assert re.search('<td role="cell" class="number"[^>]*>7</td>', page)
    assert '<th scope="row" role="rowheader">a &lt; b</th>' in page
    assert "Heat of &lt;dots&gt;" in page
    assert 'alt="A &quot;map&quot;"' in page
    with pytest.raises(ValueError, match="heads"):
        ReportTable(title="x", heads=("a",), rows=(("b", "c"),))


def test_each_ink_gets_a_switch_and_a_layer(written: Written) -> None:
    layers = [FilmLayer(ink=f"Ink <{n}>", data=b"jpeg", srgb=(10, 20, 30), lightens=n == 0)
              for n in range(3)]
    reader = PageReader(report_html(written.outcome, views(*layers)))
    switches = [a["id"] for t, a in reader.elements if t == "input" and a["type"] == "checkbox"]
    assert switches == ["show-1", "show-2", "show-3"]
    kinds = [a["class"] for t, a in reader.elements if (a.get("class") or "").startswith("film ")]
    assert kinds == ["film lightens film-1", "film darkens film-2", "film darkens film-3"]


def test_names_of_the_job_stay_inert(written: Written) -> None:
    reader = PageReader(written.page)
    assert [t for t, _ in reader.elements].count("script") == 1
    assert [t for t, _ in reader.elements].count("title") == 1
    assert not any(t == "b" for t, _ in reader.elements)
    assert not any(name.startswith("on") for _, a in reader.elements for name in a)
    assert "Small &amp; &lt;b&gt;plank&lt;/b&gt;" in written.page
    assert "script-src &#x27;sha256-" in written.page


def test_landmarks_headings_and_labels(written: Written) -> None:
    elements = PageReader(written.page).elements
    tags = [t for t, _ in elements]
    for landmark in ("header", "nav", "main", "footer"):
        assert tags.count(landmark) == 1
    levels = [int(t[1]) for t in tags if re.fullmatch(r"h\d", t)]
    assert levels[0] == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    assert all((a.get("alt") or "").strip() for t, a in elements if t == "img")
    keys = [a["id"] for _, a in elements if "id" in a]
    assert len(keys) == len(set(keys))
    for _, a in elements:
        href = a.get("href") or ""
        assert not href or (href.startswith("#") and href[1:] in keys)
    assert all(a.get("aria-label") for _, a in elements if a.get("role") == "region")
    assert elements[0] == ("html", {"lang": "en"})


def test_pins_stand_where_the_findings_are() -> None:
    at = Place(least_x_mm=49, least_y_mm=9, greatest_x_mm=51, greatest_y_mm=11)
    assert share_of(FRAME, at) == pytest.approx((0.75, 0.25))  # towards the nose; left is up
    outside = Place(least_x_mm=500, least_y_mm=-90, greatest_x_mm=501, greatest_y_mm=-80)
    assert share_of(FRAME, outside) == (1.0, 1.0)


def test_findings_with_places_have_pins_of_the_same_number(written: Written) -> None:
    reader = PageReader(written.page)
    keys = {a.get("id") for _, a in reader.elements}
    placed = [f for f in written.figures["findings"] if f["place_mm"]]
    assert placed
    for finding in written.figures["findings"]:
        assert f"finding-{finding['number']}" in keys
        assert (f"pin-{finding['number']}" in keys) == (finding["place_mm"] is not None)


def test_the_page_is_the_same_each_time_and_light(written: Written) -> None:
    first, second = (report_html(written.outcome, views()) for _ in range(2))
    assert first == second
    assert len(written.page) < 6_000_000
