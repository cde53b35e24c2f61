"""The board under other lights: a picture for each, and how its colours move and part."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preflight.units import MM_PER_INCH
from separations.colour.light_changes import (
    LightChange,
    light_changes,
    light_csv,
    printed_spectra,
)
from separations.colour.lights import Light
from separations.pipeline.picture_stages import PROOF_GRID, PROOF_SURROUNDINGS, PROOF_TONES
from separations.pipeline.session import Session
from separations.pipeline.stages import BOARD
from separations.proof.run_pictures import png_bytes
from separations.proof.soft_proof import LIGHTER, ProofModels, board_proof, with_holes


def write_in_lights(session: Session, lights: Sequence[Light], folder: Path
                    ) -> tuple[LightChange, ...]:
    """Write the board as it looks under each light, and ``lights.csv``.

    Raises
    ------
    InputProblem
        When wood or an ink of the job has no spectrum.
    """
    changes = light_changes(session.job, lights)
    for light in lights:
        board = _board_in(session, light)
        ppi = MM_PER_INCH / session.of(PROOF_GRID).pixel_mm
        (folder / f"proof-{light.file_word}.png").write_bytes(png_bytes(board, ppi=ppi))
    (folder / "lights.csv").write_text(light_csv(changes), encoding="utf-8", newline="\n")
    return changes


def _board_in(session: Session, light: Light) -> NDArray[np.uint8]:
    job = session.job
    wood, lighter = (printed_spectra(job, more).under(light) for more in (1.0, LIGHTER))
    board, tones, around, grid = session.all_of(BOARD, PROOF_TONES, PROOF_SURROUNDINGS, PROOF_GRID)
    drawn = board_proof(tones, ProofModels(wood=wood, estimate=wood, lighter_wood=lighter), around)
    return with_holes(drawn, grid, board.fittings)
