"""Every figure of a run as plain data, for report.json; its schema is report_schema.json."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from preflight.checks.limits import all_limits
from preflight.facts.register_budget import RegisterBudget, job_register
from preflight.findings import Finding, Grade, Place, by_grade
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from preflight.press.halftone_spec import halftone_told
from separations.colour.job_inks import printed_wood_lab
from separations.films.film_made import FilmMade
from separations.ink_need.ink_estimate import InkEstimate, Range
from separations.ink_need.ink_orders import InkOrder
from separations.ink_need.ink_table import TIN_G, ink_total, tins_for
from separations.proof.colour_reach import ColourReach
from separations.proof.shown_pictures import BoardViews, ReportPicture
from separations.report.cautions import DEFER, cautions_for
from separations.report.film_words import how_to_lay, panel_figures, size_figures
from separations.report.further_tables import lettering_figures
from separations.report.outcome import Outcome
from separations.report.pressed_board import pressed_board_figures

FORMAT = 1

#: What the colours of the print are held against.
_AIM = ("The eye takes the bare wood for white, but only in part: the colour aimed at is the one "
        "that then looks like the photo's. The photo's white is left as bare wood")


def report_json(outcome: Outcome, views: BoardViews | None = None) -> str:
    """The run as JSON text, the same for the same job; ``views`` as in `figures_of`."""
    return json.dumps(figures_of(outcome, views), indent=1, ensure_ascii=False,
                      sort_keys=False) + "\n"


def figures_of(outcome: Outcome, views: BoardViews | None = None) -> dict[str, Any]:
    """The run as a tree of plain values; what the pictures show is told with ``views``.

    Notes
    -----
    Lengths in mm, areas in cm² or mm², volumes in ml, masses in g, tone values 0 to 1, as each
    key says.
    """
    submission = outcome.submission
    job, outline, area = submission.job, submission.outline, submission.area
    return {
        "format": FORMAT,
        "job": {"title": job.title, "date": job.date.isoformat(), "stage": job.stage,
                "side": job.side,
                "boards": job.boards, "printed": outcome.printed, "revision": outcome.revision},
        "board": {
            "name": job.board.name,
            "length_mm": round(outline.length_mm, 3), "width_mm": round(outline.width_mm, 3),
            "board_cm2": round(area.trim.area / 100, 2),
            "printed_cm2": round(area.printed.area / 100, 2),
            "bleed_mm": job.area.bleed.mm if job.stage == "sheet" else 0.0,
        },
        "pressed_board": pressed_board_figures(submission),
        "wood": {"name": job.wood.name, "lab": list(printed_wood_lab(job)),
                 "absorption": job.wood_absorption},
        "figures": [{"name": f.name, "subjects": list(f.subjects), "value": f.value,
                     "basis": f.source.basis.value, "source": str(f.source)}
                    for f in submission.figures],
        "art": [{
            "file": art.table.file, "kind": art.table.kind,
            "pixels": [art.artwork.width_px, art.artwork.height_px],
            "ppi_on_the_board": round(art.placed.ppi, 2),
            "profile": art.artwork.profile_name if art.artwork.has_profile else None,
        } for art in submission.art],
        "film": {"resolution_written": job.film.resolution.written,
                 "reading": job.film.reading, "how_to_lay": how_to_lay(job)},
        "inks": [_ink(number, ink, job)
                 | {"solid_srgb": list(views.solids_srgb[number - 1]) if views else None}
                 for number, ink in enumerate(job.ink, 1)],
        "verdict": {g.value: len(by_grade(outcome.findings, g)) for g in Grade}
        | {"films": len(outcome.films)},
        "findings": [_finding(f, number) for f, number in _numbered(outcome.findings)],
        "in_order": [_finding(f, None) for f in by_grade(outcome.findings, Grade.CLEAR)],
        "lettering": lettering_figures(submission),
        "register": _register(job_register(job, area.image_bounds)),
        "limits": [{"name": limit.name, "value": limit.value, "unit": limit.unit,
                    "basis": limit.basis.value, "source": str(limit.source)}
                   for limit in all_limits()],
        "films_withheld": outcome.withheld,
        "film_size": size_figures(submission),
        "films": [_film(film) for film in outcome.films],
        "ink_estimates": [_estimate(e) for e in outcome.estimates],
        "ink_total": _total(outcome),
        "ink_orders": [_order(order) for order in outcome.orders],
        "colour": None if outcome.colour is None else _colour(outcome.colour)
        | {"aim": _AIM},
        "pictures": [_picture(p) for p in (
            *((views.proof, *views.near) if views else ()), *outcome.extra_pictures)],
        "tables": [{"title": t.title, "heads": list(t.heads), "rows": [list(r) for r in t.rows],
                    "note": t.note} for t in outcome.extra_tables],
        "remarks": list(outcome.remarks),
        "cautions": [asdict(c) for c in cautions_for(job.stage)],
        "cautions_defer": DEFER,
    }


def _ink(number: int, ink: InkTable, job: Job) -> dict[str, Any]:
    spec, mesh, table = job.halftone_of(ink), job.mesh_of(ink), ink.mesh or job.mesh
    return {
        "print_order": number, "name": ink.name, "prints": ink.prints,
        "screened": job.has_dots(ink),
        "halftone_told": halftone_told(spec, job.ruling_of(ink).written),
        "ruling_lpcm": round(spec.ruling_lpcm, 4), "ruling_written": job.ruling_of(ink).written,
        "angle_deg": spec.angle_deg, "dot_shape": spec.dot_shape,
        "smallest_tone": round(spec.smallest_tone, 5),
        "largest_tone": round(spec.largest_tone, 5), "small_dots": spec.small_dots,
        "mesh": {"count_written": table.count.written, "thread_written": table.thread.written,
                 "threads_per_cm": round(mesh.threads_per_cm, 4), "thread_um": mesh.thread_um,
                 "angle_deg": mesh.angle_deg, "opening_um": round(mesh.opening_um, 3),
                 "open_area": round(mesh.open_area, 4),
                 "ink_volume_cm3_per_m2": round(mesh.ink_volume_um, 3),
                 "ink_volume_from_maker": mesh.ink_volume_is_measured},
    }


def _numbered(findings: tuple[Finding, ...]) -> list[tuple[Finding, int]]:
    """What is not in order, in the checks' order, each with its number by gravity."""
    told = [f for f in findings if f.grade is not Grade.CLEAR]
    ranks = list(Grade)
    by_gravity = sorted(range(len(told)), key=lambda i: ranks.index(told[i].grade))
    return [(finding, by_gravity.index(i) + 1) for i, finding in enumerate(told)]


def _finding(finding: Finding, number: int | None) -> dict[str, Any]:
    place = finding.place
    return {
        "number": number, "id": finding.id, "check": finding.check,
        "subjects": list(finding.subjects), "subject": finding.subject,
        "grade": finding.grade.value, "says": finding.says,
        "measured": round(finding.measured.value, 4), "measured_unit": finding.measured.unit,
        "limit": round(finding.limit.value, 4), "limit_unit": finding.limit.unit,
        "limit_bound": finding.limit.bound,
        "basis": finding.source.basis.value, "source": str(finding.source), "mend": finding.mend,
        "place_mm": _corners(place), "place_told": None if place is None else str(place),
    }


def _corners(place: Place | None) -> list[float] | None:
    return None if place is None else [
        round(v, 2) for v in (place.least_x_mm, place.least_y_mm, place.greatest_x_mm,
                              place.greatest_y_mm)]


def _picture(picture: ReportPicture) -> dict[str, Any]:
    return {"title": picture.title, "alt": picture.alt, "caption": picture.caption,
            "place_mm": _corners(picture.place)}


def _register(budget: RegisterBudget) -> dict[str, Any]:
    return {
        "reach_mm": round(budget.reach_mm, 2), "likely_mm": round(budget.likely_mm, 4),
        "worst_mm": round(budget.worst_mm, 4),
        "parts": [{"name": p.name, "error_mm": round(p.error_mm, 4),
                   "basis": p.source.basis.value, "source": str(p.source)}
                  for p in budget.parts]}


def _film(film: FilmMade) -> dict[str, Any]:
    return {
        "print_order": film.order, "ink": film.ink.name, "file": film.file,
        "image_pixels": [film.columns, film.rows],
        "page_mm": [round(film.page_width_mm, 3), round(film.page_length_mm, 3)],
        "inked_cm2": round(film.inked_mm2 / 100, 3), "mean_tone": round(film.mean_tone, 5),
        "sha256": film.sha256, "read_back": "equal to the bit",
        "panels": panel_figures(film),
    }


def _estimate(estimate: InkEstimate) -> dict[str, Any]:
    return {
        "ink": estimate.ink, "inked_cm2": round(estimate.inked_cm2, 2),
        "density_g_per_ml": estimate.density_g_per_ml,
        "board_ml": _range(estimate.board_ml), "board_g": _range(estimate.board_g),
        "left_in_screen_ml": _range(estimate.left_ml),
        "run_ml": _range(estimate.run_ml), "run_g": _range(estimate.run_g),
        "tins": tins_for(estimate),
    }


def _total(outcome: Outcome) -> dict[str, Any] | None:
    if not outcome.estimates:
        return None
    total = ink_total(outcome.estimates)
    return {"board_ml": _range(total.board_ml), "board_g": _range(total.board_g),
            "left_in_screen_ml": _range(total.left_ml), "run_ml": _range(total.run_ml),
            "run_g": _range(total.run_g), "tins": total.tins, "tin_g": TIN_G}


def _order(order: InkOrder) -> dict[str, Any]:
    return {
        "ink": order.ink, "stock_ink": order.stock_ink,
        "on_shelf_g": _grams(order.on_shelf_g), "run_g": _range(order.expected_g),
        "weighed_runs": order.weighed_runs, "order_g": _grams(order.order_g),
        "past_use_by": order.past_use_by.isoformat() if order.past_use_by else None,
        "words": list(order.words)}


def _grams(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


def _colour(reach: ColourReach) -> dict[str, Any]:
    return {
        "share_out": round(reach.share_out, 5), "mean_de00": round(reach.mean_de00, 4),
        "p95_de00": round(reach.p95_de00, 4), "greatest_de00": round(reach.greatest_de00, 4),
        "bare_wood_share": round(reach.bare_wood_share, 5),
        "hue_shift_deg": round(reach.hue_shift_deg, 3), "chroma_kept": round(reach.chroma_kept, 4),
        "overprints": [{"inks": list(o.inks), "lab": [round(v, 3) for v in o.lab],
                        "srgb": list(o.srgb), "basis": o.source.basis.value,
                        "source": str(o.source)} for o in reach.overprints]}


def _range(span: Range) -> dict[str, float]:
    return {"low": round(span.low, 3), "likely": round(span.likely, 3),
            "high": round(span.high, 3)}
