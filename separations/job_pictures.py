"""The pictures of a job: its board, a crop at dot level, and what its inks cannot reach."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preflight.board.area_mask import coverage_mask
from preflight.raster_grid import grid_over
from preflight.units import MM_PER_INCH
from separations.halftone.film_bands import dots_in
from separations.inks.job_inks import whole_model
from separations.job_films.film_set import (
    film_contents,
    job_sheet,
)
from separations.planes.gamut import OUT_OF_REACH
from separations.prepared_job import PreparedJob, Say
from separations.proof.colour_reach import colour_reach
from separations.proof.proof_tones import tones_with_lines
from separations.proof.run_pictures import (
    DOT_CROP_MM,
    DotCrop,
    busiest_place,
    png_bytes,
    reach_map,
)
from separations.proof.soft_proof import LIGHTER, ProofModels, board_proof, dot_proof
from separations.report.outcome import ColourReach

#: Resolution of the soft proof.
PROOF_PPI = 100.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JobPictures:
    """The pictures of a job, and how near its inks come to the photograph."""

    board: NDArray[np.uint8]
    crop: DotCrop
    reach: ColourReach | None


def draw(prepared: PreparedJob, say: Say) -> JobPictures:
    """Draw the board, its busiest place at dot level, and reckon what is out of reach."""
    say("Drawing the proof")
    laid, job = prepared.laid, prepared.laid.job
    grid = grid_over(laid.area.printed.bounds, MM_PER_INCH / PROOF_PPI)
    tones = tones_with_lines(prepared.separation, prepared.sheets, laid, grid)
    inside, safe = (coverage_mask(area, grid) > 0
                    for area in (laid.area.printed, laid.area.safe))
    wood = whole_model(job)
    models = ProofModels(
        wood=wood, estimate=whole_model(job, readings=False) if job.press_profile else wood,
        lighter_wood=whole_model(job, LIGHTER, readings=False))
    return JobPictures(
        board=board_proof(tones, grid, models, laid.area.trim, job.wood.figure_seed),
        crop=_crop(prepared, busiest_place(tones, grid, safe)),
        reach=colour_reach(laid, prepared.separation, tones, inside))


def reach_picture(prepared: PreparedJob) -> NDArray[np.uint8] | None:
    """Where the job's inks miss the photograph; None where they do not."""
    separation = prepared.separation
    if not separation.lattices or separation.missed.max() < OUT_OF_REACH:
        return None
    inside = coverage_mask(prepared.laid.area.printed, separation.missed_grid) > 0
    return reach_map(separation.missed, inside)


def _crop(prepared: PreparedJob, centre_mm: tuple[float, float]) -> DotCrop:
    """The films at dot level round a place on the board."""
    film = job_sheet(prepared.laid).art_grid
    columns, rows = (min(round(side / film.pixel_mm), most) for side, most in
                     zip(DOT_CROP_MM, (film.columns, film.rows), strict=True))
    scale = prepared.laid.job.film.scale
    row = min(max(round(film.row_of(centre_mm[0] * scale.along)) - rows // 2, 0),
              film.rows - rows)
    column = min(max(round(film.column_of(centre_mm[1] * scale.across)) - columns // 2, 0),
                 film.columns - columns)
    contents = film_contents(prepared.laid, prepared.separation, prepared.sheets, film)
    bits = np.stack([dots_in(content, row, row + rows, column, column + columns)
                     for _, content in contents])
    return DotCrop(srgb=dot_proof(bits, whole_model(prepared.laid.job)), centre_mm=centre_mm)


def write_pictures(folder: Path, drawn: JobPictures) -> None:
    """Write proof.png and proof-dots.png."""
    (folder / "proof.png").write_bytes(png_bytes(drawn.board, ppi=PROOF_PPI))
    (folder / "proof-dots.png").write_bytes(png_bytes(drawn.crop.srgb))
