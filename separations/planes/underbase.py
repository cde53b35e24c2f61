"""White beneath a photograph: where the inks above it gain by it, and nowhere else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from separations.colour.print_model import PrintModel
from separations.planes.ink_lattice import InkLattice

#: Gain in lightness (L*) from which the underbase is laid down in full; below, in proportion.
#: Own rule, no source: smaller gains hide among the dots.
FULL_GAIN = 5.0
_FULL = 65_535


def underbase_lattice(
    lattice: InkLattice, on_white: PrintModel, on_wood: PrintModel, *,
    smallest_tone: float, largest_tone: float,
) -> InkLattice:
    """How much underbase each of the photograph's colours needs, as a lattice of one ink.

    Parameters
    ----------
    lattice : InkLattice
        Film tones of the inks above, found with ``on_white``.
    on_white, on_wood : PrintModel
        Those inks on the underbase's solid, and on the bare wood.
    smallest_tone, largest_tone : float
        Tones (0 to 1) between which the underbase's dots print.

    Notes
    -----
    The need is the lightness that the colour gains by having white beneath it, over
    `FULL_GAIN`, at most 1: dark overprints, which hide what is beneath, go without.
    """
    tones = lattice.nodes.astype(np.float64) / _FULL
    gain = on_white.predict_lab(tones)[..., 0] - on_wood.predict_lab(tones)[..., 0]
    need = np.clip(gain / FULL_GAIN, 0.0, 1.0)
    return replace(
        lattice, ink_names=("underbase",), tone_sum_limit=1.0,
        nodes=np.ascontiguousarray(np.rint(need * _FULL).astype(np.uint16)[..., None]),
        smallest_tone=np.array([smallest_tone]), largest_tone=np.array([largest_tone]))
