"""Small jobs taken as far as a test needs them: by sessions, or step by step."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preflight.frames.raster_grid import RasterGrid
from separations.colour.job_inks import photo_model, separation_model
from separations.films.film_contents import film_content, film_spans, job_sheet
from separations.halftone.film_content import FilmContent
from separations.pipeline.prepared_job import PreparedJob, prepared
from separations.pipeline.session import Session
from separations.pipeline.stages import LAID_OUT
from separations.planes.art_separation import (
    ArtSeparation,
    coarse_tones,
    plane_grid,
    plane_pixels,
    separate_photos,
)
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.line_work import LineWork, line_work
from separations.planes.overlays import Overlay, overlays_of, vector_work
from separations.planes.photo_ground import photo_ground, see_through_of
from separations.planes.photo_lattices import photo_lattices
from separations.proof.proof_tones import lines_on_grid, photo_on_grid, tones_with_lines


def prepare(path: Path, finest_ppi: float | None = None) -> PreparedJob:
    """A job laid out, separated and checked."""
    return prepared(Session(path, finest_ppi=finest_ppi))


def laid_out(path: Path) -> LaidOutJob:
    """A job on its board."""
    return Session(path).of(LAID_OUT)


def separated(laid: LaidOutJob, finest_ppi: float | None = None) -> ArtSeparation:
    """The photographs of a job, however it is laid out, as tones."""
    model = photo_model(laid.job)
    colours = [art.artwork.colour for art in laid.art if art.table.kind == "photo"]
    lattices = photo_lattices(laid.job, separation_model(laid.job), colours)
    return separate_photos(laid, model, lattices,
                           plane_pixels(laid.area, plane_grid(laid, finest_ppi)))


def overlays_on(laid: LaidOutJob, separation: ArtSeparation,
                finest_ppi: float | None = None) -> tuple[Overlay, ...]:
    """All that lies on the photographs."""
    ground = photo_ground(laid, separation, coarse_tones(laid.job, separation))
    return overlays_of(line_work(laid, finest_ppi=finest_ppi),
                       vector_work(laid, see_through_of(separation), ground))


def contents_of(laid: LaidOutJob, separation: ArtSeparation,
                overlays: tuple[Overlay, ...]) -> dict[str, FilmContent]:
    """What each ink's film shows."""
    sheet = job_sheet(laid)
    spans = film_spans(laid, sheet)
    return {ink.name: film_content(laid, ink, separation, overlays, sheet, spans)
            for ink in laid.job.ink}


def all_tones(laid: LaidOutJob, separation: ArtSeparation, overlays: Sequence[Overlay],
              grid: RasterGrid) -> NDArray[np.uint16]:
    """All inks' tones on a grid, line work included."""
    pictures = [one for one in overlays if isinstance(one, LineWork)]
    return tones_with_lines(laid.job, photo_on_grid(laid.job, separation, grid),
                            lines_on_grid(pictures, grid), overlays, laid.area.printed, grid)
