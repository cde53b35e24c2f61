"""The report's part on the pressed board: lengths, reach, inserts and keep-outs, drawn and told."""

from __future__ import annotations

from preflight.submission import Submission
from separations.report.board_drawings import STRETCH, plan_svg, side_view_svg
from separations.report.pressed_board_figures import has_pressed_board
from separations.report.report_pictures import ReportPicture, ReportTable


def pressed_board_pictures(submission: Submission) -> tuple[ReportPicture, ...]:
    """The board from its side and from above; none where the job tells of no shape or fittings."""
    fittings = submission.fittings
    if not has_pressed_board(fittings):
        return ()
    pictures = []
    if fittings.frames.profile is not None:
        pictures.append(_drawing(
            "From its side", side_view_svg(fittings.frames.profile, fittings),
            f"Nose to the right, heights drawn {STRETCH} times."
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
                         data=svg.encode("utf-8"), media_type="image/svg+xml")


def _told(submission: Submission) -> list[str]:
    fittings, frames = submission.fittings, submission.fittings.frames
    told = []
    if frames.plan_length_mm is not None and frames.flat_length_mm is not None:
        way = {"as drawn": "The outline is already in the films' view",
               "developed": "The outline was drawn as seen from above and is developed for the "
                            "flat sheet",
               "folded": "The outline was drawn flat and is led to the pressed board as seen from "
                         "above"}[frames.way]
        told.append(f"{frames.plan_length_mm:.1f} mm long as seen from above, "
                    f"{frames.flat_length_mm:.1f} mm flat: a difference of "
                    f"{frames.flat_length_mm - frames.plan_length_mm:.1f} mm. {way}.")
    if fittings.reach is not None:
        beyond = submission.area.printed.difference(fittings.reach.zone).area / 100
        spans = ", ".join(f"{a:.0f} to {b:.0f} mm" for a, b in fittings.reach.spans_mm)
        told.append(f"With {submission.job.frame.off_contact.written} off-contact at mid-length, "
                    f"pressed down by up to {submission.job.frame.press_down.written}, a flat "
                    f"screen reaches {spans} along the board; {beyond:.0f} cm² of the print lie "
                    "beyond.")
    for pack in fittings.inserts:
        x = [float(v) for v in pack.holes_mm[:, 0]]
        told.append(f"{pack.foot.capitalize()} foot: {len(x)} holes of {pack.hole_mm:g} mm, from "
                    f"{min(x):.1f} to {max(x):.1f} mm along the board"
                    + (f"; {pack.clear_mm:g} mm round each stay free of ink." if pack.ink_off
                       else "; ink lies over them."))
    return told
