"""Cautions: each hazard of the work is named, with its source; they defer."""

from __future__ import annotations

from separations.report.cautions import DEFER, REMINDER, cautions_for


def test_every_hazard_of_the_work_is_named() -> None:
    told = " ".join(f"{c.hazard} {c.keep_in_mind}" for c in cautions_for("sheet")).casefold()
    for hazard in ("uv light", "uncured ink", "solvents", "rags", "stencil and haze removers",
                   "caustic", "pressure washer", "dust", "isocyanate", "air-fed mask",
                   "hot press"):
        assert hazard in told, hazard
    assert all(caution.source for caution in cautions_for("sheet"))


def test_what_was_written_for_another_trade_says_so() -> None:
    for caution in cautions_for("sheet"):
        for sheet, written_for in (("P7", "lithographic"), ("P23", "inks, not varnish"),
                                   ("P39", "ink-jet")):
            assert sheet not in caution.source or written_for in caution.source


def test_they_defer() -> None:
    for text in (DEFER, REMINDER):
        for word in ("safety data sheet", "local codes", "licensed practice"):
            assert word in text
