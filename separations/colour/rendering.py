"""Which printable colour a photograph's colour should become."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preflight.input_problem import InputProblem
from preflight.job_file.photo_values import RENDERINGS
from separations.colour.gamut_mapping import WayIn, aimed_lab, printable_lab
from separations.colour.ink_reach import InkReach, ink_reach
from separations.colour.print_model import PrintModel

FloatArray = NDArray[np.float64]

#: Where colours go that no ink reaches: ``balanced`` gives up chroma of pale tints and some of
#: strong ones, ``keep-colour`` darkens skies and seas instead. Own rule, judged on photographs.
_WAYS: dict[str, WayIn] = {"balanced": WayIn(pale=25.0, lower=0.0),
                                 "keep-colour": WayIn(pale=15.0, lower=20.0)}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RenderedColours:
    """A photograph's colours as wanted of a print.

    Attributes
    ----------
    aimed_lab : ndarray, shape (..., 3), float64
        Lab D50 that would look like the photograph, within reach or not.
    wanted_lab : ndarray, shape (..., 3), float64
        Lab D50 to print: brought within reach where the inks reach all round the greys.
    within_reach : bool
        Whether they were.
    reach : InkReach or None
        What the inks can show; None of a single ink, of which lightness alone is wanted.
    """

    aimed_lab: FloatArray
    wanted_lab: FloatArray
    within_reach: bool
    reach: InkReach | None


def rendered_colours(photo_lab: FloatArray, model: PrintModel, tone_sum_limit: float,
                     ends_lab: tuple[FloatArray, FloatArray], *, adaptation: float,
                     rendering: str) -> RenderedColours:
    """What of a print each colour of a photograph wants.

    Parameters
    ----------
    photo_lab : ndarray, shape (..., 3), float64
        Lab D50 of the photograph, its white at (100, 0, 0), its black at (0, 0, 0).
    model : PrintModel
        Substrate and inks.
    tone_sum_limit : float
        Most that the film tones of one place may add up to.
    ends_lab : tuple of two ndarray, shape (3,), float64
        Lab D50 of the lightest and of the darkest printable colour.
    adaptation : float
        How far the eye takes the lightest for white, 0 to 1.
    rendering : str
        How colours out of reach are brought in.

    Raises
    ------
    InputProblem
        When there is no such rendering.

    Notes
    -----
    A single ink has lightness alone to give: L* of its whole range, in proportion.
    """
    if rendering not in RENDERINGS:
        raise InputProblem(where="rendering", found=repr(rendering),
                           would_do=" or ".join(RENDERINGS))
    if model.ink_count == 1:
        wanted = one_ink_lab(photo_lab, ends_lab)
        return RenderedColours(aimed_lab=wanted, wanted_lab=wanted, within_reach=True, reach=None)
    reach = ink_reach(model, tone_sum_limit, ends_lab, adaptation)
    aimed = aimed_lab(photo_lab, reach)
    if not reach.surrounds_greys:
        return RenderedColours(aimed_lab=aimed, wanted_lab=aimed, within_reach=False, reach=reach)
    return RenderedColours(
        aimed_lab=aimed, wanted_lab=printable_lab(photo_lab, reach, _WAYS[rendering]),
        within_reach=True, reach=reach)


def one_ink_lab(photo_lab: FloatArray, ends_lab: tuple[FloatArray, FloatArray]) -> FloatArray:
    """Lab on the straight way between two ends, L* in proportion to the photograph's."""
    white, black = ends_lab
    share = np.clip(np.asarray(photo_lab)[..., :1] / 100.0, 0.0, 1.0)
    return np.asarray(black + share * (white - black))


def given_colours(lab: ArrayLike) -> RenderedColours:
    """Lab D50 (..., 3) to print as they are, as near as inks can."""
    asked = np.asarray(lab, np.float64)
    return RenderedColours(aimed_lab=asked, wanted_lab=asked, within_reach=False, reach=None)
