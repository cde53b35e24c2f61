"""The board as it will look, stage by stage: at any resolution, whole or in part."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preflight.frames.raster_grid import RasterGrid, grid_over
from preflight.units import MM_PER_INCH
from separations.colour.job_inks import whole_model
from separations.measuring.hold.film_windows import FilmWindows
from separations.pipeline.stage import InkStage, Look, Stage
from separations.pipeline.stages import (
    BOARD,
    COLOURS,
    FILM_CONTENT,
    LINE_PICTURES,
    OVERLAYS,
    PHOTO_TONES,
    WHOLE_MODEL,
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
PROOF_TONES: Stage[NDArray[np.uint16]] = Stage(
    "all inks on the proof's grid", lambda look: tones_with_lines(
        look.job, look.of(PROOF_PHOTO), look.of(PROOF_LINES), look.of(OVERLAYS),
        look.of(BOARD).area.printed, look.of(PROOF_GRID)),
    reads="ink.name ink.prints",
    needs=(BOARD, OVERLAYS, PROOF_PHOTO, PROOF_LINES, PROOF_GRID))
PROOF_SURROUNDINGS: Stage[Surroundings] = Stage(
    "wood and table of the proof", lambda look: surroundings(
        look.of(PROOF_GRID), look.of(BOARD).area.trim, look.job.wood.figure_seed),
    reads="wood.figure_seed", needs=(BOARD, PROOF_GRID))


def _proof_models(look: Look) -> ProofModels:
    job, wood = look.job, look.of(WHOLE_MODEL)
    return ProofModels(
        wood=wood, estimate=whole_model(job, readings=False) if job.press_profile else wood,
        lighter_wood=whole_model(job, LIGHTER, readings=False))


PROOF_MODELS: Stage[ProofModels] = Stage(
    "models of the proof", _proof_models, reads=COLOURS, needs=(WHOLE_MODEL,))
PROOF: Stage[NDArray[np.uint8]] = Stage(
    "proof", lambda look: with_holes(
        board_proof(look.of(PROOF_TONES), look.of(PROOF_MODELS), look.of(PROOF_SURROUNDINGS)),
        look.of(PROOF_GRID), look.of(BOARD).fittings),
    needs=(BOARD, PROOF_TONES, PROOF_GRID, PROOF_MODELS, PROOF_SURROUNDINGS))

# 10. The films' own dots, window by window.
FILM_WINDOWS: InkStage[FilmWindows] = InkStage(
    "a film by windows", lambda look: FilmWindows(look.of_own_ink(FILM_CONTENT)),
    own=(FILM_CONTENT,))
