"""The report's part on the pressed board: lengths, reach, inserts and keep-outs, drawn and told."""

from __future__ import annotations

from html import escape

from preflight.submission import Submission
from separations.report.board_drawings import STRETCH, plan_svg, side_view_svg
from separations.report.pressed_board_figures import has_pressed_board


def pressed_board_section(submission: Submission) -> str:
    """HTML of the section; empty where the job tells neither of a shape nor of fittings."""
    fittings = submission.fittings
    if not has_pressed_board(fittings):
        return ""
    parts = ["<h2>The pressed board</h2>"]
    parts += [f"<p>{escape(text)}</p>" for text in _told(submission)]
    if fittings.frames.profile is not None:
        parts.append(f"<figure>{side_view_svg(fittings.frames.profile, fittings)}<figcaption>"
                     f"From its side, nose to the right, heights drawn {STRETCH} times."
                     + (" Dashed: the mesh at rest; green: what it reaches." if fittings.reach
                        else "") + "</figcaption></figure>")
    parts.append(f"<figure>{plan_svg(submission)}<figcaption>As on the films, nose to the right: "
                 "trim (thick), print (tinted), holes and keep-outs (ochre where no ink lies), "
                 "binding discs (dashed), important regions (dotted)"
                 + (", out of reach (red)" if fittings.reach else "")
                 + ".</figcaption></figure>")
    return "\n".join(parts)


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
