"""The pressed board's shape and fittings as plain data for report.json."""

from __future__ import annotations

from typing import Any

from preflight.board.fittings import Fittings, NamedArea
from preflight.submission import Submission


def has_pressed_board(fittings: Fittings) -> bool:
    """Whether the job tells of a shape, or of anything fixed to the board or important on it."""
    return bool(fittings.frames.profile or fittings.inserts or fittings.keep_outs
                or fittings.important)


def pressed_board_figures(submission: Submission) -> dict[str, Any] | None:
    """Lengths, reach and places, in the films' board frame (mm); None where there are none."""
    fittings = submission.fittings
    if not has_pressed_board(fittings):
        return None
    frames = fittings.frames
    return {
        "outline": frames.way, "plan_length_mm": _rounded(frames.plan_length_mm),
        "flat_length_mm": _rounded(frames.flat_length_mm), "reach": _reach(submission),
        "inserts": [{
            "foot": pack.foot, "hole_mm": pack.hole_mm, "clear_mm": round(pack.clear_mm, 3),
            "ink": "off" if pack.ink_off else "over",
            "holes_mm": [[round(float(v), 3) for v in hole] for hole in pack.holes_mm],
        } for pack in fittings.inserts],
        "keep_outs": [_place(place) for place in fittings.keep_outs],
        "important": [_place(place) for place in fittings.important],
    }


def _reach(submission: Submission) -> dict[str, Any] | None:
    reach = submission.fittings.reach
    if reach is None:
        return None
    beyond = submission.area.printed.difference(reach.zone)
    return {"off_contact_mm": submission.job.frame.off_contact.mm,
            "press_down_mm": reach.press_down_mm,
            "spans_mm": [[round(start, 2), round(end, 2)] for start, end in reach.spans_mm],
            "beyond_cm2": round(float(beyond.area) / 100, 2)}


def _place(place: NamedArea) -> dict[str, Any]:
    return {"name": place.name, "ink": "off" if place.ink_off else "over",
            "cm2": round(float(place.area.area) / 100, 3),
            "place_mm": [round(float(v), 2) for v in place.area.bounds]}


def _rounded(length_mm: float | None) -> float | None:
    return None if length_mm is None else round(length_mm, 3)
