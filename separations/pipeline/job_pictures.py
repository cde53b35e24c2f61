"""The pictures of a job: its board, a crop at dot level, and what its inks cannot reach."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preflight.board.area_mask import coverage_mask
from preflight.findings import Place
from preflight.frames.raster_grid import RasterGrid
from preflight.job_file.job import Job
from preflight.units import MM_PER_INCH
from separations.colour.display import shown_srgb, solid_srgb
from separations.colour.job_inks import printed_wood_lab
from separations.colour.varnish import model_under
from separations.films.film_contents import film_screenings
from separations.halftone.film_bands import dots_in
from separations.halftone.screening import Screening
from separations.pipeline.picture_stages import PROOF, PROOF_GRID, PROOF_TONES, UNVARNISHED_PROOF
from separations.pipeline.prepared_job import PreparedJob
from separations.pipeline.session import Session
from separations.planes.gamut import OUT_OF_REACH
from separations.proof.colour_reach import ColourReach, colour_reach
from separations.proof.dot_places import dot_places
from separations.proof.film_layers import film_layers
from separations.proof.photo_beside_print import beside_picture, beside_print, gamut_pictures
from separations.proof.run_pictures import (
    DOT_CROP_MM,
    DotCrop,
    beside_picture_of,
    board_picture,
    dot_picture,
    gamut_pictures_of,
    png_bytes,
    reach_map,
    reach_picture_of,
    varnish_picture_of,
)
from separations.proof.shown_pictures import BoardViews, ReportPicture
from separations.proof.soft_proof import dot_proof
from separations.runtime.progress import Say

#: How true the page draws the board's edge (mm).
_DRAWN_TO_MM = 0.1
#: Share of the printed area from which a map of colours out of reach shows something. Own rule.
_LEAST_SHARE_SHOWN = 0.001


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JobPictures:
    """The pictures of a job, what they were drawn from, and how near its inks come to the photo.

    Attributes
    ----------
    tones : ndarray of uint16, shape (inks of the job, rows, columns)
        All inks on ``grid``, line work included.
    unvarnished : ndarray of uint8, shape (rows, columns, 3), or None
        The board before its varnish; None of a job without one.
    light_and_deep : tuple of DotCrop
        Highlights and shadows at dot level, as `crop` shows the busiest place; none where
        nothing prints.
    """

    board: NDArray[np.uint8]
    unvarnished: NDArray[np.uint8] | None
    crop: DotCrop
    light_and_deep: tuple[DotCrop, ...]
    reach: ColourReach | None
    tones: NDArray[np.uint16]
    grid: RasterGrid


def draw(session: Session, prepared: PreparedJob, say: Say,
         screenings: tuple[Screening, ...] | None = None) -> JobPictures:
    """Draw the board, its busiest place at dot level, and reckon what is out of reach.

    ``screenings`` are the films' where they are made already.
    """
    say("Drawing the proof")
    laid = prepared.laid
    board, tones, grid = session.all_of(PROOF, PROOF_TONES, PROOF_GRID)
    inside, safe = (coverage_mask(area, grid) > 0
                    for area in (laid.area.printed, laid.area.safe))
    places = dot_places(tones, grid, safe, DOT_CROP_MM)
    crop, *light_and_deep = _crops(prepared, (places.busiest, *places.light_and_deep), screenings)
    unvarnished = (None if laid.job.finish.varnish == "none"
                   else session.of(UNVARNISHED_PROOF))
    return JobPictures(
        board=board, unvarnished=unvarnished, crop=crop, light_and_deep=tuple(light_and_deep),
        reach=colour_reach(laid, prepared.separation, tones, inside), tones=tones, grid=grid)


def reach_pictures(prepared: PreparedJob) -> tuple[ReportPicture, ...]:
    """Photograph and print side by side, what the inks can print, and where they fall short."""
    separation, job = prepared.separation, prepared.laid.job
    beside = beside_print(job, separation) if separation.lattices else None
    if beside is None:
        return ()
    pictures = [beside_picture_of(beside_picture(beside, printed_wood_lab(job)))]
    if len(job.photo_inks) > 1:
        pictures += gamut_pictures_of(*gamut_pictures(job, beside))
    missed = separation.missed_within(prepared.laid.area.printed)
    if np.mean(missed > OUT_OF_REACH) >= _LEAST_SHARE_SHOWN:
        inside = coverage_mask(prepared.laid.area.printed, separation.missed_grid) > 0
        pictures.append(reach_picture_of(reach_map(separation.missed, inside)))
    return tuple(pictures)


def varnish_pictures(job: Job, drawn: JobPictures) -> tuple[ReportPicture, ...]:
    """The board before and after its varnish; none of a job without one."""
    if drawn.unvarnished is None:
        return ()
    return (varnish_picture_of(drawn.unvarnished, drawn.board, job.finish.varnish),)


def board_views(prepared: PreparedJob, drawn: JobPictures) -> BoardViews:
    """The pictures of the report page: the board, its films and close views, from what is drawn."""
    laid, grid, job = prepared.laid, drawn.grid, prepared.laid.job
    model = model_under(job, job.finish.varnish)
    near = [dot_picture(drawn.crop, "Where the inks differ most"), *(
        dot_picture(crop, title) for crop, title in
        zip(drawn.light_and_deep, ("Light tones", "Deep tones"), strict=False))]
    return BoardViews(
        proof=board_picture(drawn.board, job.title, job.finish.varnish),
        frame=Place(least_x_mm=grid.top_x_mm - grid.rows * grid.pixel_mm,
                    least_y_mm=grid.left_y_mm - grid.columns * grid.pixel_mm,
                    greatest_x_mm=grid.top_x_mm, greatest_y_mm=grid.left_y_mm),
        trims=(tuple((float(x), float(y)) for x, y, *_ in
                     laid.area.trim.simplify(_DRAWN_TO_MM).exterior.coords),),
        wood_srgb=shown_srgb(model.primaries_lab[0]),
        solids_srgb=tuple(solid_srgb(model, number) for number, _ in enumerate(job.ink)),
        layers=film_layers(drawn.tones, [ink.name for ink in job.ink], model), near=tuple(near))


def _crops(
    prepared: PreparedJob, centres_mm: Sequence[tuple[float, float]],
    screenings: tuple[Screening, ...] | None,
) -> list[DotCrop]:
    """The films at dot level round places on the board."""
    film = prepared.sheet.art_grid
    columns, rows = (min(round(side / film.pixel_mm), most) for side, most in
                     zip(DOT_CROP_MM, (film.columns, film.rows), strict=True))
    scale = prepared.laid.job.film.scale
    bits: list[list[NDArray[np.bool_]]] = [[] for _ in centres_mm]
    for screening in film_screenings(prepared.contents) if screenings is None else screenings:
        for place, (x, y) in zip(bits, centres_mm, strict=True):
            row = min(max(round(film.row_of(x * scale.along)) - rows // 2, 0), film.rows - rows)
            column = min(max(round(film.column_of(y * scale.across)) - columns // 2, 0),
                         film.columns - columns)
            place.append(dots_in(screening, row, row + rows, column, column + columns))
    job = prepared.laid.job
    model = model_under(job, job.finish.varnish)
    return [DotCrop(srgb=dot_proof(np.stack(place), model), centre_mm=centre)
            for place, centre in zip(bits, centres_mm, strict=True)]


def write_pictures(folder: Path, drawn: JobPictures) -> None:
    """Write proof.png and proof-dots.png."""
    ppi = MM_PER_INCH / drawn.grid.pixel_mm
    (folder / "proof.png").write_bytes(png_bytes(drawn.board, ppi=ppi))
    (folder / "proof-dots.png").write_bytes(png_bytes(drawn.crop.srgb))
