"""The report's part on the pressed board: lengths, reach, inserts and keep-outs, drawn and told."""

from __future__ import annotations

from typing import Any

from preflight.board.fittings import Fittings, NamedArea
from preflight.facts.submission import Submission
from separations.proof.shown_pictures import ReportPicture, ReportTable
from separations.report.board_views_svg import STRETCH, plan_svg, side_view_svg


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


def pressed_board_pictures(submission: Submission) -> tuple[ReportPicture, ...]:
    """The board from its side and from above; none where the job tells of no shape or fittings."""
    fittings = submission.fittings
    if not has_pressed_board(fittings):
        return ()
    pictures = []
    if fittings.frames.profile is not None:
        pictures.append(_drawing(
            "From its side", side_view_svg(fittings.frames.profile, fittings),
            f"Nose to the right, heights drawn at {STRETCH} times the scale."
            + (" Dashed: the mesh at rest; green: what it reaches." if fittings.reach else "")))
    pictures.append(_drawing(
        "From above", plan_svg(submission),
        "As on the films, nose to the right: trim (thick), print (tinted), holes and keep-outs "
        "(ochre where no ink lies), binding discs (dashed), important regions (dotted)"
        + (", out of reach (red)" if fittings.reach else "") + "."))
    return tuple(pictures)


def pressed_board_tables(submission: Submission) -> tuple[ReportTable, ...]:
    """What is told of the pressed board, line by line; none as above."""
    if not has_pressed_board(submission.fittings):
        return ()
    rows = tuple((text,) for text in _told(submission))
    return (ReportTable(title="The pressed board", heads=("What the films follow",), rows=rows),)


def _drawing(title: str, svg: str, caption: str) -> ReportPicture:
    return ReportPicture(title=title, alt=f"The pressed board: {title.lower()}", caption=caption,
                         data=svg.encode("utf-8"), media_type="image/svg+xml", is_wide=True)


def _told(submission: Submission) -> list[str]:
    fittings, frames = submission.fittings, submission.fittings.frames
    told = []
    if frames.plan_length_mm is not None and frames.flat_length_mm is not None:
        way = {"as drawn": "The outline is already in the films' view",
               "developed": "The outline was drawn as seen from above and is developed for the "
                            "flat sheet",
               "folded": "The outline was drawn flat; it is shown as the pressed board is "
                         "seen from above"}[frames.way]
        told.append(f"{frames.plan_length_mm:.1f} mm long as seen from above, "
                    f"{frames.flat_length_mm:.1f} mm flat: a difference of "
                    f"{frames.flat_length_mm - frames.plan_length_mm:.1f} mm. {way}.")
    if fittings.reach is not None:
        beyond = submission.area.printed.difference(fittings.reach.zone).area / 100
        spans = " and ".join(f"from {a:.0f} to {b:.0f} mm" for a, b in fittings.reach.spans_mm)
        told.append(f"With {submission.job.frame.off_contact.written} off-contact at mid-length, "
                    f"pressed down by up to {submission.job.frame.press_down.written}, a flat "
                    f"screen reaches {spans} along the board; {beyond:.0f} cm² of the print lies "
                    "beyond.")
    for pack in fittings.inserts:
        x = [float(v) for v in pack.holes_mm[:, 0]]
        told.append(f"{pack.foot.capitalize()} foot: {len(x)} holes of {pack.hole_mm:g} mm, from "
                    f"{min(x):.1f} to {max(x):.1f} mm along the board"
                    + (f"; {pack.clear_mm:g} mm round each stays free of ink." if pack.ink_off
                       else "; ink lies over them."))
    return told
