"""The board as it will look, stage by stage: at any resolution, whole or in part."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preflight.frames.raster_grid import RasterGrid, grid_over
from preflight.job_file.board_tables import Varnish
from preflight.job_file.job import Job
from preflight.units import MM_PER_INCH
from separations.colour.varnish import model_under
from separations.measuring.hold.film_windows import FilmWindows
from separations.pipeline.stage import InkStage, Look, Stage
from separations.pipeline.stages import (
    BOARD,
    COLOURS,
    FILM_CONTENT,
    LINE_PICTURES,
    OVERLAYS,
    PHOTO_TONES,
)
from separations.proof.proof_kernel import Surroundings
from separations.proof.proof_tones import (
    LinesOnGrid,
    lines_on_grid,
    photo_on_grid,
    tones_with_lines,
)
from separations.proof.soft_proof import LIGHTER, ProofModels, board_proof, surroundings, with_holes

# 9. The soft proof.
PROOF_GRID: Stage[RasterGrid] = Stage(
    "grid of the proof", lambda look: grid_over(look.of(BOARD).area.image_bounds,
                                                MM_PER_INCH / look.proof_ppi),
    reads="proof_ppi", needs=(BOARD,), known_by_value=True)
PROOF_PHOTO: Stage[NDArray[np.uint16]] = Stage(
    "photos on the proof's grid", lambda look: photo_on_grid(
        look.job, look.of(PHOTO_TONES), look.of(PROOF_GRID)),
    reads="ink.name ink.prints", needs=(PHOTO_TONES, PROOF_GRID))
PROOF_LINES: Stage[tuple[LinesOnGrid, ...]] = Stage(
    "line work on the proof's grid", lambda look: lines_on_grid(
        look.of(LINE_PICTURES), look.of(PROOF_GRID)), needs=(LINE_PICTURES, PROOF_GRID))


def _proof_tones(look: Look) -> NDArray[np.uint16]:
    photo = look.of(PROOF_PHOTO)
    # Of one look it is nobody else's: on a large board with many inks a copy is a quarter gigabyte.
    return tones_with_lines(
        look.job, photo if look.keep.is_for_one_look else photo.copy(), look.of(PROOF_LINES),
        look.of(OVERLAYS), look.of(BOARD).area.printed, look.of(PROOF_GRID))


PROOF_TONES: Stage[NDArray[np.uint16]] = Stage(
    "all inks on the proof's grid", _proof_tones,
    reads="ink.name ink.prints",
    needs=(BOARD, OVERLAYS, PROOF_PHOTO, PROOF_LINES, PROOF_GRID))
PROOF_SURROUNDINGS: Stage[Surroundings] = Stage(
    "wood and table of the proof", lambda look: surroundings(
        look.of(PROOF_GRID), look.of(BOARD).area.trim, look.job.wood.figure_seed),
    reads="wood.figure_seed", needs=(BOARD, PROOF_GRID))


def _proof_models(job: Job, varnish: Varnish) -> ProofModels:
    wood = model_under(job, varnish)
    return ProofModels(
        wood=wood, estimate=model_under(job, varnish, readings=False) if job.press_profile
        else wood, lighter_wood=model_under(job, varnish, LIGHTER, readings=False))


def _board(look: Look, models: ProofModels) -> NDArray[np.uint8]:
    return with_holes(board_proof(look.of(PROOF_TONES), models, look.of(PROOF_SURROUNDINGS)),
                      look.of(PROOF_GRID), look.of(BOARD).fittings)


PROOF_MODELS: Stage[ProofModels] = Stage(
    "models of the proof", lambda look: _proof_models(look.job, look.job.finish.varnish),
    reads=f"{COLOURS} finish.varnish")
PROOF: Stage[NDArray[np.uint8]] = Stage(
    "proof", lambda look: _board(look, look.of(PROOF_MODELS)),
    needs=(BOARD, PROOF_TONES, PROOF_GRID, PROOF_MODELS, PROOF_SURROUNDINGS))
UNVARNISHED_PROOF: Stage[NDArray[np.uint8]] = Stage(
    "proof before the varnish", lambda look: _board(look, _proof_models(look.job, "none")),
    reads=COLOURS, needs=(BOARD, PROOF_TONES, PROOF_GRID, PROOF_SURROUNDINGS))

# 10. The films' own dots, window by window.
FILM_WINDOWS: InkStage[FilmWindows] = InkStage(
    "a film by windows", lambda look: FilmWindows(look.of_own_ink(FILM_CONTENT)),
    own=(FILM_CONTENT,))
