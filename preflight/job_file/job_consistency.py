"""What one key of a job must have to do with another; each fault is one sentence."""

from __future__ import annotations

from preflight.input_problem import InputProblem
from preflight.job_file.drawn_consistency import check_drawn_art, is_drawing
from preflight.job_file.hardware_consistency import check_hardware
from preflight.job_file.job import Job
from preflight.job_file.job_tables import ArtTable
from preflight.job_file.track_consistency import check_tracks
from preflight.units import MM_PER_INCH

#: A stochastic dot of fewer film pixels has no shape of its own. Own rule, no source.
_LEAST_DOT_PIXELS = 3
_UM_PER_INCH = MM_PER_INCH * 1000


def check_consistency(job: Job) -> None:
    """Refuse a job whose keys contradict each other.

    Raises
    ------
    InputProblem
        For the first contradiction, with the file and the key path.
    """
    _check_board(job)
    _check_art(job)
    check_drawn_art(job)
    check_tracks(job)
    _check_inks(job)
    check_hardware(job)
    if job.wood.lab is not None and job.wood.reflectance is not None:
        raise InputProblem(where=f"{job.path}: wood", found="both 'lab' and 'reflectance'",
                           would_do="one of the two")


def _check_board(job: Job) -> None:
    board, where = job.board, f"{job.path}: board"
    numbers = ("length", "contact_length", "nose_width", "waist_width")
    given = [n for n in (*numbers, "tail_width", "taper") if getattr(board, n) is not None]
    if board.outline is not None:
        if given:
            raise InputProblem(where=f"{where}.{given[0]}", found="a figure beside 'outline'",
                               would_do="either an outline file or the figures")
        return
    for name in numbers:
        if getattr(board, name) is None:
            raise InputProblem(where=f"{where}.{name}", found="nothing",
                               would_do="the figure, or an 'outline' file in place of all figures,")
    if (board.tail_width is None) == (board.taper is None):
        found = "neither 'tail_width' nor 'taper'" if board.taper is None else \
            "both 'tail_width' and 'taper'"
        raise InputProblem(where=where, found=found, would_do="one of the two")


def _check_art(job: Job) -> None:
    if not job.art:
        raise InputProblem(where=f"{job.path}: art", found="no artwork",
                           would_do="at least one table headed [[art]]")
    if len(job.art) > 40:
        raise InputProblem(where=f"{job.path}: art", found=f"{len(job.art)} artworks",
                           would_do="at most 40 of them")
    names = {ink.name for ink in job.ink}
    for number, art in enumerate(job.art, 1):
        where = f"{job.path}: art[{number}]"
        if art.kind == "line" and not is_drawing(art) and art.ink not in names:
            raise InputProblem(
                where=f"{where}.ink", found="nothing" if art.ink is None else f"'{art.ink}'",
                would_do="the name of one of the job's inks")
        if art.kind == "photo" and art.ink is not None:
            raise InputProblem(where=f"{where}.ink", found=f"'{art.ink}' on a photo",
                               would_do="an ink on line work only (kind = \"line\")")
        _check_edges(art, where)
        for one, other, size in (("left", "right", "width"), ("top", "bottom", "height")):
            cut = getattr(art, f"crop_{one}").fraction + getattr(art, f"crop_{other}").fraction
            if cut >= 1:
                raise InputProblem(
                    where=f"{where}.crop_{one}",
                    found=f"{cut * 100:.0f} % of the {size} cut off with 'crop_{other}'",
                    would_do="crops that leave some of the picture")
        sizes = (art.width is not None) + (art.resolution is not None)
        if sizes != (art.place == "scale"):
            raise InputProblem(
                where=where,
                found=f"place = \"{art.place}\" with " + (
                    "neither 'width' nor 'resolution'", "a size ('width' or 'resolution')",
                    "both 'width' and 'resolution'")[sizes],
                would_do="either 'width' or 'resolution'" if art.place == "scale" else
                "place = \"scale\", or no size,")


def _check_edges(art: ArtTable, where: str) -> None:
    if art.kind == "line" and art.fill_edges:
        raise InputProblem(where=f"{where}.fill_edges", found="'true' on line work",
                           would_do="'fill_edges' on photos only")
    if art.fill_edges and art.bare_wood_around:
        raise InputProblem(where=f"{where}.bare_wood_around",
                           found="'fill_edges' too, which prints beyond the photo's edges",
                           would_do="one of the two")


def _check_inks(job: Job) -> None:
    where = f"{job.path}: ink"
    if not 1 <= len(job.ink) <= 12:
        raise InputProblem(where=where, found=f"{len(job.ink)} inks", would_do="1 to 12 inks")
    seen: set[str] = set()
    for number, ink in enumerate(job.ink, 1):
        if ink.name.casefold() in seen:
            raise InputProblem(where=f"{where}[{number}].name",
                               found=f"'{ink.name}' named twice",
                               would_do="another name for each ink")
        seen.add(ink.name.casefold())
        ways = (ink.colour is not None, ink.over_white is not None, ink.reflectance is not None)
        if sum(ways) != 1 or (ink.over_white is None and (ink.over_black or ink.opacity)) \
                or (ink.over_black is not None and ink.opacity is not None):
            raise InputProblem(
                where=f"{where}[{number}]",
                found="its colour given in several ways" if any(ways) else "no colour",
                would_do="'colour' alone, or 'over_white' with at most one of 'over_black' and "
                         "'opacity', or 'reflectance' alone,")
        for name in ink.not_over:
            if name not in {other.name for other in job.ink} or name == ink.name:
                raise InputProblem(where=f"{where}[{number}].not_over", found=f"'{name}'",
                                   would_do="the names of others of the job's inks")
        _check_mesh(job, number)
    if len(job.photo_inks) > 8:
        raise InputProblem(where=where, found=f"{len(job.photo_inks)} inks in the photograph",
                           would_do="at most 8 of them, the others with prints = \"line work\",")
    if not job.photo_inks and any(art.kind == "photo" for art in job.art):
        raise InputProblem(where=where, found="no ink for the photograph",
                           would_do="at least one ink with prints = \"photo\"")
    _check_underbase(job)
    _check_highlight_white(job)
    black = job.separation.black_ink
    if black is not None and black not in {ink.name for ink in job.photo_inks}:
        raise InputProblem(where=f"{job.path}: separation.black_ink", found=f"'{black}'",
                           would_do="the name of one of the photograph's inks")


def _check_underbase(job: Job) -> None:
    beneath = [n for n, ink in enumerate(job.ink, 1) if ink.prints == "underbase"]
    photo = [n for n, ink in enumerate(job.ink, 1) if ink.prints == "photo"]
    if len(beneath) > 1:
        raise InputProblem(where=f"{job.path}: ink[{beneath[1]}].prints",
                           found="a second underbase", would_do="one underbase")
    if beneath and photo and beneath[0] > photo[0]:
        raise InputProblem(where=f"{job.path}: ink[{beneath[0]}].prints",
                           found="an underbase printed after the photograph's inks",
                           would_do="an underbase listed before them")


def _check_highlight_white(job: Job) -> None:
    over = [n for n, ink in enumerate(job.ink, 1) if ink.prints == "highlight white"]
    beneath = [n for n, ink in enumerate(job.ink, 1) if ink.prints in ("underbase", "photo")]
    if len(over) > 1:
        raise InputProblem(where=f"{job.path}: ink[{over[1]}].prints",
                           found="a second highlight white", would_do="one highlight white")
    if over and (not job.photo_inks or over[0] < max(beneath)):
        raise InputProblem(where=f"{job.path}: ink[{over[0]}].prints",
                           found="a highlight white printed before inks of the photograph",
                           would_do="a highlight white listed after them")


def _check_mesh(job: Job, number: int) -> None:
    ink = job.ink[number - 1]
    mesh = job.mesh_of(ink)
    where = f"{job.path}: " + (f"ink[{number}].mesh" if ink.mesh else "mesh")
    if mesh.opening_um <= 0 or mesh.opening_um >= mesh.pitch_um:
        raise InputProblem(
            where=where,
            found=f"{mesh.threads_per_cm:g} threads/cm of {mesh.thread_um:g} µm, "
                  f"which leaves an opening of {mesh.opening_um:.3g} µm",
            would_do=f"threads thinner than the pitch of {mesh.pitch_um:.4g} µm")
    table = ink.mesh or job.mesh
    if (table.exposed is None) != (table.solid_step is None):
        raise InputProblem(where=where, found="one of 'exposed' and 'solid_step'",
                           would_do="both of them, or neither,")
    halftone = job.halftone_of(ink)
    dot_pixels = halftone.stochastic_dot_um / _UM_PER_INCH * halftone.film_dpi
    if not halftone.is_periodic and dot_pixels < _LEAST_DOT_PIXELS:
        raise InputProblem(
            where=f"{job.path}: ink[{number}]",
            found=f"stochastic dots of {halftone.stochastic_dot_um:.0f} µm on a film of "
                  f"{halftone.film_dpi:.0f} dpi, {dot_pixels:.1f} pixels wide",
            would_do="a stochastic_dot of "
                     f"{_LEAST_DOT_PIXELS * _UM_PER_INCH / halftone.film_dpi:.0f} µm or more")
    if halftone.smallest_tone >= halftone.largest_tone:
        raise InputProblem(where=f"{job.path}: halftone",
                           found="a smallest_tone that is not under largest_tone",
                           would_do='a pair such as smallest_tone = "3 %", largest_tone = "96 %"')
