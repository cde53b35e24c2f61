"""The tone value increase of each ink, as a densitometer tells it, for the calibration page."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

import numpy as np
from numpy.typing import NDArray

from preflight.job_file.job import Job
from separations.colour.colorimetry import lab_to_xyz
from separations.colour.press_profile import NINETY
from separations.colour.tone_values import TOLD_TONES, solid_share, tone_value_of_area
from separations.uses.calibration.press_fit import PressFit


def ink_tone_value_increase(job: Job, place: int, fit: PressFit,
                            tones: Sequence[float] = TOLD_TONES) -> tuple[float, ...] | None:
    """Murray-Davies tone value less film tone (0 to 1) at film tones; None if not to be told.

    By density where the solid's was read, else by X, Y or Z, whichever the ink takes most of, of
    the tints as the fit predicts them.

    Parameters
    ----------
    place : int
        The ink's place in print order, from 0.
    tones : sequence of float
        Film tones, 0 to 1.
    """
    ink, told = fit.inks[place], np.array(tones)
    name, model = job.ink[place].name, fit.model
    if ink.solid_density is None and model is not None and name in model.ink_names:
        films = np.zeros((len(told) + 2, model.ink_count))
        films[:, model.ink_names.index(name)] = [0.0, *told, 1.0]
        light = model.predict_xyz(films)
        axis = int(np.argmin(light[-1] / light[0]))
        if solid_share(light[0], light[-1]) < 1.0:
            value = (light[0] - light[1:-1]) / (light[0] - light[-1])
            return tuple(map(float, value[:, axis] - told))
    if ink.solid_density is not None:
        solid = 10.0 ** -ink.solid_density
    elif ink.solid_lab is not None and fit.wood_lab is not None:
        solid = solid_share(lab_to_xyz(fit.wood_lab), lab_to_xyz(ink.solid_lab))
    else:
        return None
    return tuple(map(float, tone_value_of_area(ink.curve.area_at(told), solid, fit.n) - told))


def tone_value_table(job: Job, fit: PressFit, tone_value_sd: NDArray[np.float64]) -> str:
    """A table of the increase at the quarter, middle and three-quarter tone, as HTML.

    Parameters
    ----------
    tone_value_sd : ndarray, shape (inks, 3), float64
        Deviation of each tone value (0 to 1).
    """
    rows = []
    for place, (table, ink, sd) in enumerate(zip(job.ink, fit.inks, tone_value_sd, strict=True)):
        told = ink_tone_value_increase(job, place, fit)
        if told is None:
            continue
        areas = 100 * (ink.curve.area_at(np.array(TOLD_TONES)) - TOLD_TONES)
        cells = [f"{100 * one:+.1f}" + ("" if np.isnan(off) else f" ± {100 * NINETY * off:.1f}")
                 for one, off in zip(told, sd, strict=True)] + [f"{one:+.1f}" for one in areas]
        rows.append(f"<tr><td>{escape(table.name)}</td>"
                    + "".join(f'<td class="number">{cell}</td>' for cell in cells) + "</tr>")
    heads = [f"{what} at {100 * tone:g} %" for what in ("Tone value", "Area")
             for tone in TOLD_TONES]
    return ("<h2>Tone value increase</h2><p>Percentage points by which a tint prints darker than "
            "its film tone: as tone value, which a densitometer tells (Murray-Davies, ISO 12647-1: "
            "light caught between the dots counts as ink), and as the area that the dots cover by "
            "the print model. ± holds nine times in ten, by what the readings leave uncertain. "
            "Typed into a job, the former need tone_curve_tells = \"tone value\".</p>"
            '<div class="scroll"><table><thead><tr><th>Ink</th>'
            + "".join(f'<th class="number">{head}</th>' for head in heads)
            + f"</tr></thead><tbody>{''.join(rows)}</tbody></table></div>")
