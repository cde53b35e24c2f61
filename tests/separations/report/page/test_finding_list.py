"""The findings' list shows the figure, its limit and what kind of limit it is."""

from __future__ import annotations

import re

import pytest

from preflight.basis import Basis, Source
from preflight.findings import Figure, Finding, Grade, at_least
from separations.report.page.finding_list import finding_list, in_order
from separations.report.page.shown_figures import ShownFigures
from separations.report.report_figures import _finding


@pytest.mark.parametrize(("limit", "shown"), [
    (at_least(1.05, "px per line"), "Measured 0.9 px per line, limit at least 1.05 px per line ("),
    (Figure(value=0.5, unit="mm"), "Measured 0.9 px per line, limit 0.5 mm ("),
])
def test_a_least_limit_is_shown_as_one(limit: Figure, shown: str) -> None:
    finding = Finding(id="true-pixels", check="True pixels", subjects=("photo.png",),
                      grade=Grade.CARE, says="Soft.", limit=limit,
                      measured=Figure(value=0.9, unit="px per line"),
                      source=Source(basis=Basis.OWN))
    figures = ShownFigures({"findings": [_finding(finding, 1)], "in_order": [
        _finding(finding, None)], "verdict": {"clear": 1}})
    assert shown in re.sub(r"<[^>]*>", "", finding_list(figures))
    assert str(limit) in re.sub(r"<[^>]*>", "", in_order(figures))
