"""Tone values read from made-up pictures against those of the print itself."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from separations.uses.press_scan.joined_scans import COLOURS, JoinedScans
from tests.made_up_scans import PrintedSheet, Taken, true_light


def tone_values_off(sheet: PrintedSheet, taken: Taken, found: JoinedScans
                    ) -> NDArray[np.float64]:
    """Murray-Davies tone values of the wedges less the true ones, each tone's two readings' mean.

    Both by the formula itself: (1 - light) / (1 - the solid's light).
    """
    truth, off = true_light(sheet, taken), []
    for ink, colour in enumerate(found.colours):
        wedge = [place for place, patch in enumerate(sheet.patches)
                 if patch.kind == "wedge" and patch.row // 2 == ink]
        tones = np.array([sheet.patches[place].tones[ink] for place in wedge])
        values = []
        for light in (10.0 ** -found.density[wedge], truth[wedge, COLOURS.index(colour)]):
            means = np.array([np.nanmean(light[tones == tone]) for tone in np.unique(tones)])
            values.append((1.0 - means) / (1.0 - means[-1]))
        off.append(values[0] - values[1])
    return np.concatenate(off)
