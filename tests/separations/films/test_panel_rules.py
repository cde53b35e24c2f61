"""Every panel has a whole check rule, clear of its image, label and other marks."""

from __future__ import annotations

import pytest

from separations.films.film_sheet import Box, film_sheet
from separations.films.marks import Words, label_box
from separations.films.panel_rules import panel_rules, rule_length_mm
from separations.films.panels import PrinterRoom, plan_panels
from separations.films.splice_marks import APRON_MM
from tests.separations.films.test_panels import _quiet

ROOMS = [(450.0, 900.0), (250.0, 700.0), (400.0, 400.0), (80.0, 900.0)]


@pytest.mark.parametrize(("width_mm", "length_mm"), ROOMS)
def test_each_panel_has_whole_rules(width_mm: float, length_mm: float) -> None:
    sheet = film_sheet((-300, -155, 300, 155), (-292, -147, 292, 147), 360.0, further_lines=12,
                       apron_mm=APRON_MM)
    panels = plan_panels(sheet, PrinterRoom(width_mm=width_mm, length_mm=length_mm,
                                            overlap_mm=15.0), _quiet(sheet))
    assert len(panels) >= 2 or width_mm > 400
    for panel in panels:
        own = panel.sheet
        side = "left" if own.page_grid.left_y_mm == sheet.page_grid.left_y_mm else None
        rules = panel_rules(own, sheet, side=side)
        assert set(rules) <= set(panel.shapes)
        words = [shape.text for shape in rules if isinstance(shape, Words)]
        assert words[0].endswith(" mm across")
        length_mm = int(words[0].split()[0])
        assert length_mm == (100 if own.page_width_mm > 112 else 50)
        line = rules[0]
        assert isinstance(line, Box)
        assert (line.right - line.left) * own.page_grid.pixel_mm == pytest.approx(length_mm,
                                                                                  abs=0.4)
        for shape in rules:
            if isinstance(shape, Box):
                assert 0 <= shape.left < shape.right <= own.page_grid.columns
                assert not _meet(shape, own.art_box)
                assert not _meet(shape, label_box(own))
                others = (s for s in panel.shapes if isinstance(s, Box) and s not in rules)
                assert not any(_meet(shape, other) for other in others)


def test_ticks_of_one_five_and_ten_millimetres_are_told_apart_by_eye() -> None:
    sheet = film_sheet((-150, -155, 150, 155), (-142, -147, 142, 147), 1440.0)
    line, *ticks = (shape for shape in panel_rules(sheet, sheet, side=None)
                    if isinstance(shape, Box))
    assert (line.right - line.left) * sheet.page_grid.pixel_mm == pytest.approx(100.0, abs=0.3)
    high = [(tick.bottom - tick.top) * sheet.page_grid.pixel_mm for tick in ticks]
    assert len(high) == 101
    tens, fives = high[::10], high[5::10]
    ones = [one for mm, one in enumerate(high) if mm % 5]
    assert min(tens) > max(fives) + 0.5
    assert min(fives) > max(ones) + 0.5


def test_what_fits() -> None:
    assert [rule_length_mm(room) for room in (250.0, 100.0, 99.0, 44.0, 7.0)] == [
        100, 100, 50, 40, 0]


def _meet(a: Box, b: Box) -> bool:
    return a.left < b.right and b.left < a.right and a.top < b.bottom and b.top < a.bottom
