"""What the keys of drawings, flat colours, lines and notes must have to do with each other."""

from __future__ import annotations

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_tables import ArtTable, NoteTable
from preflight.job_file.line_table import LineTable
from preflight.job_file.track_tables import TrackTable

#: Endings of drawings' names.
_DRAWN = (".svg", ".pdf")
#: Lines on one board, and notes, at most.
_MOST_LINES, _MOST_NOTES = 500, 500


def is_drawing(art: ArtTable) -> bool:
    """Whether an artwork is drawn as outlines: an SVG or a PDF page, or a flat colour."""
    return art.kind == "flat" or (art.kind == "line" and art.file.lower().endswith(_DRAWN))


def is_pdf(art: ArtTable) -> bool:
    """Whether an artwork is a page of a PDF."""
    return art.file.lower().endswith(".pdf")


def _is_tiff(art: ArtTable) -> bool:
    return art.file.lower().endswith((".tif", ".tiff"))


def check_drawn_art(job: Job) -> None:
    """Refuse contradictions in what is drawn.

    Raises
    ------
    InputProblem
        For the first one, with the file and the key path.
    """
    for number, art in enumerate(job.art, 1):
        where = f"{job.path}: art[{number}]"
        if not art.file and art.kind != "flat":
            raise InputProblem(where=f"{where}.file", found="nothing",
                               would_do="a value for 'file'")
        if art.kind == "flat" and art.file and not art.file.lower().endswith(_DRAWN):
            raise InputProblem(where=f"{where}.file", found=f"'{art.file}' on a flat colour",
                               would_do="an SVG or a PDF, or no file for all of the printed area,")
        if is_drawing(art):
            _check_inks(job, art, where)
        elif art.kind == "line" and art.tint.fraction < 1:
            raise InputProblem(where=f"{where}.tint", found="a tint on a picture",
                               would_do="a tint on a drawing (SVG or PDF) or a flat colour only")
        _check_strays(art, where)
        _check_white(job, art, where)
    for key, count, most in (("line", len(job.line), _MOST_LINES),
                             ("note", len(job.note), _MOST_NOTES)):
        if count > most:
            raise InputProblem(where=f"{job.path}: {key}", found=f"{count} {key}s",
                               would_do=f"at most {most}")
    for number, line in enumerate(job.line, 1):
        _check_line(job, line, f"{job.path}: line[{number}]")
    for number, note in enumerate(job.note, 1):
        _check_note(job, note, f"{job.path}: note[{number}]")


def _check_inks(job: Job, art: ArtTable, where: str) -> None:
    names = {ink.name for ink in job.ink}
    if (art.ink is None) == (art.colours is None):
        raise InputProblem(
            where=f"{where}.ink", found="nothing" if art.ink is None else "'ink' and 'colours'",
            would_do="the name of one of the job's inks, or 'colours' in its place,")
    for ink in (art.ink,) if art.ink is not None else (art.colours or {}).values():
        if ink not in names:
            raise InputProblem(where=f"{where}.{'ink' if art.ink else 'colours'}",
                               found=f"'{ink}'", would_do="the name of one of the job's inks")
    for name in () if is_pdf(art) else art.colours or ():
        if not name.startswith("#"):
            raise InputProblem(where=f"{where}.colours", found=f"the colour '{name}'",
                               would_do="a colour such as \"#1a1a1a\" (names are spot colours, "
                                        "which only a PDF has)")
    if art.tint.fraction <= 0:
        raise InputProblem(where=f"{where}.tint", found=f"'{art.tint.written}'",
                           would_do="a tint above 0 %")


def _check_white(job: Job, art: ArtTable, where: str) -> None:
    """White beneath needs an ink that prints it, before all that is to lie on it."""
    if not art.white_beneath:
        return
    white, order = job.underbase, [ink.name for ink in job.ink]
    if white is None:
        raise InputProblem(where=f"{where}.white_beneath", found="no ink that prints it",
                           would_do="an ink with prints = \"underbase\"")
    for ink in (art.ink,) if art.ink is not None else (art.colours or {}).values():
        if ink in order and order.index(ink) <= order.index(white.name):
            raise InputProblem(where=f"{where}.white_beneath",
                               found=f"'{white.name}' printed no earlier than '{ink}'",
                               would_do="an ink listed after the underbase")


def _check_strays(art: ArtTable, where: str) -> None:
    """Keys that say nothing of this kind of artwork."""
    drawing = is_drawing(art)
    for key, stray, what in (
        ("colours", art.colours is not None and not (drawing and art.file),
         "a drawing (SVG or PDF)"),
        ("page", art.page is not None and not (is_pdf(art) or _is_tiff(art)), "a PDF or TIFF"),
        ("page_box", art.page_box != "crop box" and not is_pdf(art), "a PDF"),
        ("resolution", art.resolution is not None and is_pdf(art), "a picture of pixels"),
        ("font", art.font is not None and not (drawing and not is_pdf(art)), "an SVG drawing"),
        ("opacity", art.opacity is not None and art.kind != "photo", "a photo"),
        ("bare_wood_around", art.bare_wood_around and art.kind != "photo", "a photo"),
        ("exposure", art.exposure != 0 and art.kind != "photo", "a photo"),
        ("contrast", art.contrast != 0 and art.kind != "photo", "a photo"),
        ("saturation", art.saturation != 1 and art.kind != "photo", "a photo"),
        ("curve", bool(art.curve) and art.kind != "photo", "a photo"),
        ("grey", art.grey is not None and art.kind != "photo", "a photo"),
        *((f"crop_{side}", drawing and getattr(art, f"crop_{side}").fraction > 0, "a picture")
          for side in ("left", "right", "top", "bottom")),
        ("white_beneath", art.white_beneath and art.kind == "photo", "line work or a flat colour"),
        ("tint", art.tint.fraction < 1 and art.kind == "photo", "a drawing"),
    ):
        if stray:
            raise InputProblem(where=f"{where}.{key}", found=f"'{key}' on another kind of art",
                               would_do=f"'{key}' on {what} only")


def _check_line(job: Job, line: LineTable, where: str) -> None:
    check_stroke(job, line, where)
    places = [(x.mm, y.mm) for x, y in line.points]
    if all(place == places[0] for place in places):
        raise InputProblem(where=f"{where}.points", found="points that are all one place",
                           would_do="two places or more")


def _check_note(job: Job, note: NoteTable, where: str) -> None:
    check_ink(job, note.ink, where)
    check_either(note, "label_at", "label_offset", where)
    check_either(note, "cap_height", "type_size", where)


def check_stroke(job: Job, stroke: LineTable | TrackTable, where: str) -> None:
    """Refuse a line or track whose ink, lettering or width cannot be."""
    check_ink(job, stroke.ink, where)
    check_either(stroke, "cap_height", "type_size", where)
    if stroke.width.mm <= 0:
        raise InputProblem(where=f"{where}.width", found=f"'{stroke.width.written}'",
                           would_do="a width above 0 mm")


def check_ink(job: Job, ink: str, where: str) -> None:
    """Refuse an ink that the job does not have."""
    if ink not in {one.name for one in job.ink}:
        raise InputProblem(where=f"{where}.ink", found=f"'{ink}'",
                           would_do="the name of one of the job's inks")


def check_either(table: object, one: str, other: str, where: str) -> None:
    """Refuse a table that has both of two keys."""
    if getattr(table, one) is not None and getattr(table, other) is not None:
        raise InputProblem(where=where, found=f"both '{one}' and '{other}'",
                           would_do="one of the two")
