"""What the print rests on, the limits, and the smallest lettering, as tables of the report."""

from __future__ import annotations

from typing import Any

from preflight.checks.limits import all_limits
from preflight.facts.mesh_hold_facts import LetteringHold, LetterPart, LetterPartKind
from preflight.facts.submission import Submission
from preflight.findings import listed
from separations.proof.shown_pictures import ReportTable


def limits_table() -> ReportTable:
    """Every limit with its figure and its source, or the words that it has none."""
    return ReportTable(
        title="All limits of the checks", heads=("Limit on", "#Limit", "Rests on", "Source"),
        rows=tuple((limit.name, str(limit.figure), limit.basis.value, limit.told)
                   for limit in all_limits()))


def resting_table(submission: Submission) -> ReportTable:
    """What proof, films and ink rest on, each figure with its basis."""
    return ReportTable(
        title="What this print rests on", heads=("Figure", "Value", "Source"),
        rows=tuple((f"{one.name}, {listed(one.subjects)}" if one.subjects else one.name,
                    one.value, f"{one.source.basis.value}: {one.source}"
                    if one.source.basis.value not in str(one.source) else str(one.source))
                   for one in submission.figures))


_KINDS: tuple[LetterPartKind, ...] = ("stroke", "counter", "gap")


def lettering_figures(submission: Submission) -> list[dict[str, Any]]:
    """Every lettering measured on a film, for report.json."""
    return [{
        "subject": one.subject, "kind": one.kind, "ink": one.ink,
        "reversed_out": one.reversed_out, "grown_by_trap": one.grown_by_trap,
        "letters": one.letters, "height_mm": round(one.height_mm, 3), "shortest": one.shortest,
        "holds_from": None if one.holds_from is None else round(one.holds_from, 4),
        "parts": [{
            "part": part.kind, "letters": part.letters, "width_um": round(part.um, 1),
            "held_um": round(part.held_um, 1), "under": part.under,
            "place_mm": [round(v, 2) for v in (
                part.place.least_x_mm, part.place.least_y_mm, part.place.greatest_x_mm,
                part.place.greatest_y_mm)],
        } for part in one.parts],
    } for one in _lettering(submission)]


def _as_it_is(one: LetteringHold) -> str:
    """That all of it holds; a figure below its limit by less than it is measured to is told so."""
    barely = any(part.um < part.held_um for part in one.parts)
    return "as it is, within half a film pixel" if barely else "as it is"


def lettering_tables(submission: Submission) -> tuple[ReportTable, ...]:
    """The table of the smallest lettering; none where nothing is set."""
    rows = tuple((
        one.subject, f"reversed out of {one.ink}" if one.reversed_out else one.ink,
        f"{one.height_mm:.2f} mm ({one.shortest})", *(_told(one, kind) for kind in _KINDS),
        _as_it_is(one) if one.holds_from == 1.0 else
        f"{one.holds_from:.2f} times as large" if one.holds_from else "at none of the sizes tried",
    ) for one in _lettering(submission))
    if not rows:
        return ()
    return (ReportTable(
        title="Smallest lettering", rows=rows,
        heads=("Lettering", "Film", "#Shortest letter", "#Thinnest stroke", "#Smallest counter",
               "#Narrowest gap", "Holds"),
        note="Measured on the films' own pixels, to within about one of them. Beside each figure "
             "stand the letters where it was found, and the least that the ink's mesh holds."),)


def _lettering(submission: Submission) -> tuple[LetteringHold, ...]:
    return submission.hold.lettering if submission.hold is not None else ()


def _told(one: LetteringHold, kind: LetterPartKind) -> str:
    part: LetterPart | None = next((p for p in one.parts if p.kind == kind), None)
    return "none" if part is None else (
        f"{part.um:.0f} µm ({part.letters}; held from {part.held_um:.0f})")
