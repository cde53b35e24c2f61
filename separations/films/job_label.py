"""What a job's film labels say, and how many lines its sheets need for them."""

from __future__ import annotations

from dataclasses import replace
from math import ceil

from preflight.frames.film_scale import scale_lines, scale_short
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from preflight.units import MM_PER_INCH, POINTS_PER_INCH
from separations.films.film_label import (
    BODY_PT,
    SMALLEST_PT,
    FilmLabel,
    label_height_pt,
    label_lines,
    lines_beyond,
)
from separations.films.film_page import label_room_pt
from separations.films.film_sheet import FURTHER_LINE_MM, FilmSheet
from separations.films.marks import targets_apart_mm
from separations.films.panel_rules import RULE_ROOM_MM
from separations.films.panels import PrinterRoom, panel_words, split_of
from separations.films.press_marks import press_marks_of, strip_parts, too_wide
from separations.films.splice_marks import map_room_mm
from separations.planes.laid_out_job import LaidOutJob

#: What stands for the revision while a sheet is planned: as wide as any.
PLANNED_REVISION = "MMMMMMMM"


def job_label(laid: LaidOutJob, ink: InkTable, order: int, sheet: FilmSheet) -> FilmLabel:
    """The label of an ink's film, ``order`` its place in print order from 1."""
    job = laid.job
    mesh = ink.mesh or job.mesh
    return FilmLabel(
        job=job.title, board=f"{job.board.name}, {job.side} side", ink=ink.name,
        mesh=f"{mesh.count.written}, thread {mesh.thread.written}",
        ruling=job.ruling_of(ink).written, film_number=order, film_count=len(job.ink),
        scale=scale_short(job.film.scale), screened=job.has_dots(ink),
        date=job.date.isoformat(), revision=laid.revision or PLANNED_REVISION,
        set_up=set_up_lines(job, ink, sheet),
        further=(*_size_lines(laid), *_left_out(job, sheet)))


def _left_out(job: Job, sheet: FilmSheet) -> tuple[str, ...]:
    """Which marks of the press strip the film is too narrow for."""
    names = too_wide(press_marks_of(job), strip_parts(sheet))
    return (f"too narrow for the marks: {', '.join(names)}",) if names else ()


def _steel_rule(sheet: FilmSheet) -> str:
    return (f"steel rule: {targets_apart_mm(sheet):.2f} mm from target to target on the centre "
            "line, nose to tail")


def nose_words(label: FilmLabel) -> tuple[str, ...]:
    """The label's lines at the nose: which film it is, and how it is set up and measured."""
    return (f"Film {label.film_number} of {label.film_count}: {label.ink}{label.despite_told} · "
            f"revision {label.revision} · {label.job} · {label.board}", *label.set_up)


def set_up_lines(job: Job, ink: InkTable, sheet: FilmSheet) -> tuple[str, ...]:
    """Tone curve, tone ends, frame and the length for a steel rule."""
    frame = (f"frame inside {job.frame.inside_length.written} × "
             f"{job.frame.inside_width.written}")
    if not job.has_dots(ink):
        return (frame, _steel_rule(sheet))
    curve = ink.tone_curve or job.halftone.tone_curve
    told = ("tints as film tones" if ink.prints == "line work" else
            f"press profile {job.press_profile}" if job.press_profile else
            f"tone curve {curve}" if isinstance(curve, str) else "tone curve from the job's pairs")
    spec = job.halftone_of(ink)
    ends = f"dots {spec.smallest_tone * 100:.1f} to {spec.largest_tone * 100:.1f} %" \
        if spec.is_periodic else "stochastic dots"
    if spec.is_periodic and spec.small_dots == "thin":
        ends += ", thinned beyond (bars under the wedge)"
    return (f"{told} · {ends} · {frame}", _steel_rule(sheet))


def lines_needed(laid: LaidOutJob, sheet: FilmSheet) -> int:
    """Lines beyond the usual ones that the label of a whole film needs, for any of the inks."""
    return _beyond(laid, sheet, label_room_pt(sheet)[0], BODY_PT)


def panel_lines_needed(laid: LaidOutJob, sheet: FilmSheet, room: PrinterRoom) -> int:
    """As `lines_needed`, for panels; the narrowest that the split allows, in the least lettering.

    Seams are not known yet; on wider panels the same room takes larger letters.
    """
    columns, rows, width_mm = split_of(sheet, room)
    if columns == 1:
        width_pt = label_room_pt(replace(sheet, label_aside_mm=map_room_mm(1)))[0]
    else:
        aside_mm = sheet.page_width_mm - label_room_pt(sheet)[0] / POINTS_PER_INCH * MM_PER_INCH
        width_pt = (width_mm - aside_mm - map_room_mm(columns)) / MM_PER_INCH * POINTS_PER_INCH
    count = columns * rows
    if count == 0:
        return 1
    line = panel_words(count, columns, rows, laid.job.film.panel_overlap.written)
    # The panel's own rule stands above its label.
    lines = _beyond(laid, sheet, max(60.0, width_pt), (SMALLEST_PT,),
                    panel=f"panel {count} of {count}", further=(line,))
    return ceil(RULE_ROOM_MM / FURTHER_LINE_MM) + max(1, lines)


def _beyond(laid: LaidOutJob, sheet: FilmSheet, width_pt: float, sizes_pt: tuple[float, ...], *,
            panel: str = "", further: tuple[str, ...] = ()) -> int:
    job = laid.job
    labels = ((job_label(laid, ink, order, sheet), job.halftone_of(ink))
              for order, ink in enumerate(job.ink, 1))
    return max(lines_beyond(label_height_pt(label_lines(
        replace(label, panel=panel, further=(*label.further, *further)), spec,
        job.film.reading, width_pt, sizes_pt=sizes_pt))) for label, spec in labels)


def _size_lines(laid: LaidOutJob) -> tuple[str, ...]:
    """How the film's size differs from the print's, if it does."""
    least_x, least_y, greatest_x, greatest_y = laid.area.image_bounds
    return scale_lines(laid.job.film.scale, greatest_x - least_x, greatest_y - least_y)
