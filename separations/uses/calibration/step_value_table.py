"""The tone value of each step of a wedge, with its uncertainty, for the calibration page."""

from __future__ import annotations

from html import escape

import numpy as np
from numpy.typing import NDArray

from preflight.job_file.job import Job
from separations.colour.press_profile import NINETY
from separations.uses.calibration.press_fit import PressFit
from separations.uses.calibration.resampled_fits import STEP_TONES
from separations.uses.calibration.tone_value_table import ink_tone_value_increase


def step_value_table(job: Job, fit: PressFit, step_value_sd: NDArray[np.float64]) -> str:
    """A table of Murray-Davies tone values by film tone, as HTML.

    Parameters
    ----------
    step_value_sd : ndarray, shape (inks, 13), float64
        Deviation of each tone value (0 to 1) at `STEP_TONES`.
    """
    rows = []
    for place, (table, sd) in enumerate(zip(job.ink, step_value_sd, strict=True)):
        told = ink_tone_value_increase(job, place, fit, STEP_TONES)
        if told is None:
            continue
        cells = [f"{100 * (tone + more):.1f}&nbsp;±&nbsp;{100 * NINETY * off:.1f}"
                 for tone, more, off in zip(STEP_TONES, told, sd, strict=True)]
        rows.append(f"<tr><td>{escape(table.name)}</td>"
                    + "".join(f'<td class="number">{cell}</td>' for cell in cells) + "</tr>")
    return ("<h2>Tone value of each step</h2><p>In percent, by the light of a tint over that of "
            "the wood and the solid (Murray-Davies), for which n does not count. ± holds nine "
            "times in ten: what repeats differ by, and what sharpening and the picture's format "
            "may have moved in all patches of an ink alike.</p>"
            '<div class="scroll"><table><thead><tr><th>Ink</th>'
            + "".join(f'<th class="number">{100 * tone:g} %</th>' for tone in STEP_TONES)
            + f"</tr></thead><tbody>{''.join(rows)}</tbody></table></div>")
