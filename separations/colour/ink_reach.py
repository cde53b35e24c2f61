"""How far inks reach round the greys that they print, hue by hue and lightness by lightness."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.colour.adaptation import PrintViewer, print_viewer
from separations.colour.colorimetry import lab_to_xyz
from separations.colour.gamut_surface import (
    LevelledTriangles,
    TriangleSurface,
    reach_on_level,
    surface_tones,
)
from separations.colour.hue_space import xyz_to_lpt
from separations.colour.print_model import PrintModel

FloatArray = NDArray[np.float64]

#: Steps of lightness and of hue in the table of reaches.
_LEVELS, _HUES = 51, 72
#: Lightness between which inks must reach all round the greys, and how far (about Lab units),
#: for colours to be brought in hue by hue. Own rule, no source.
_GREYS_BETWEEN, _LEAST_REACH = (30.0, 60.0), 2.0
#: Lightness down to which greys keep some of the lightest colour's tint where no darker grey can
#: be printed without one: as near to neutral as inks come. Own rule, judged on photographs.
_NEVER_NEUTRAL = 60.0
#: Nodes of hue over which the lightness of the most vivid colour is evened out.
_EVEN_HUES = 3.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkReach:
    """What inks on a wood can show to an eye.

    Attributes
    ----------
    white_lab, black_lab : ndarray, shape (3,), float64
        Lab D50 of the lightest and of the darkest printable colour.
    viewer : PrintViewer
        The eye.
    levels : ndarray, shape (m,), float64
        Lightness from 0 to 100, as seen.
    greys : ndarray, shape (m, 2), float64
        P and T of the photograph's greys as printed, at each level.
    hues : ndarray, shape (h,), float64
        From 0 to 2 pi, both ends included.
    chroma : ndarray, shape (m, h), float64
        Greatest printable distance from the greys.
    vivid_level : ndarray, shape (h,), float64
        Lightness of each hue's most vivid colour.
    """

    white_lab: FloatArray
    black_lab: FloatArray
    viewer: PrintViewer
    levels: FloatArray
    greys: FloatArray
    hues: FloatArray
    chroma: FloatArray
    vivid_level: FloatArray

    @property
    def surrounds_greys(self) -> bool:
        """Whether the inks reach all round the greys of middle lightness."""
        least, most = _GREYS_BETWEEN
        middle = (self.levels >= least) & (self.levels <= most)
        return bool(self.chroma[middle].min() >= _LEAST_REACH)


def ink_reach(model: PrintModel, tone_sum_limit: float, ends_lab: tuple[FloatArray, FloatArray],
              adaptation: float) -> InkReach:
    """Find what inks can show.

    Parameters
    ----------
    model : PrintModel
        Substrate and inks.
    tone_sum_limit : float
        Most that the film tones of one place may add up to.
    ends_lab : tuple of two ndarray, shape (3,), float64
        Lab D50 of the lightest and of the darkest printable colour.
    adaptation : float
        How far the eye takes the lightest printable colour for white, 0 to 1.

    Notes
    -----
    Greys run straight from the lightest printable colour to where the eye sees neutral, and on
    to black. They follow a parabola that leaves the lightest colour along the edge of what is
    printable, so that they are printable all the way: the eye's adaptation is whole in the
    lightest tones and falls to the degree given. Inks that can print no neutral grey but dark
    ones come as near to this as they can.
    """
    white, black = ends_lab
    viewer = print_viewer(white, black, adaptation)
    tones = surface_tones(model.ink_count, tone_sum_limit)
    surface = TriangleSurface(
        points=xyz_to_lpt(viewer.seen_xyz(model.predict_lab(tones.points))),
        triangles=tones.triangles).by_level()
    levels = np.linspace(0.0, 100.0, _LEVELS)
    tip = xyz_to_lpt(viewer.seen_xyz(white))[1:]
    greys = np.outer(_whole_adaptation(levels, _neutral_from(surface, levels, tip)), tip)
    hues = np.linspace(0.0, 2.0 * np.pi, _HUES + 1)
    chroma = np.zeros((_LEVELS, _HUES + 1))
    for place in range(1, _LEVELS - 1):
        chroma[place, :-1] = reach_on_level(surface, float(levels[place]), greys[place],
                                            hues[:-1])
    chroma[:, -1] = chroma[:, 0]
    return InkReach(white_lab=white, black_lab=black, viewer=viewer, levels=levels, greys=greys,
                    hues=hues, chroma=chroma, vivid_level=_vivid_levels(levels, chroma))


def _neutral_from(surface: LevelledTriangles, levels: FloatArray, tip: FloatArray) -> float:
    """The lightness under which the eye's neutral can be printed; 0 where it never can.

    The way back from the tip through the neutral meets the surface only where that is within.
    """
    away = np.array([np.arctan2(-tip[1], -tip[0])])

    def room(place: int) -> float:
        return float(reach_on_level(surface, float(levels[place]), np.zeros(2), away)[0])

    for place in range(len(levels) - 2, 1, -1):
        last = room(place)
        if last > 0.0:
            fall = room(place - 1) - last
            further = last / fall if fall > 0.0 else 0.0
            return float(levels[place] + levels[1] * min(further, 1.0))
    return 0.0


def _whole_adaptation(levels: FloatArray, neutral_from: float) -> FloatArray:
    """Share (0 to 1) of the lightest colour's own tint that greys of each lightness have."""
    start = 2.0 * neutral_from - 100.0
    start = start if start >= 0.0 else _NEVER_NEUTRAL
    share = np.clip((levels - start) / (100.0 - start), 0.0, 1.0) ** 2
    return np.asarray(share)


def _vivid_levels(levels: FloatArray, chroma: FloatArray) -> FloatArray:
    """Lightness of each hue's most vivid colour, evened out over neighbouring hues."""
    from scipy.ndimage import gaussian_filter1d

    found = gaussian_filter1d(levels[chroma[:, :-1].argmax(axis=0)], _EVEN_HUES, mode="wrap")
    return np.append(found, found[0])


def seen_lpt(lab: FloatArray) -> FloatArray:
    """A photograph's Lab D50 as L*, P and T of an eye that takes its white for white."""
    return xyz_to_lpt(lab_to_xyz(lab))
