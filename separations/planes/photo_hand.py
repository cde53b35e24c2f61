"""The artist's hand on a photograph: exposure, contrast and curve, saturation and greys."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preflight.art.source_colour import SourceColour
from preflight.job_file.job_tables import ArtTable
from separations.colour.colorimetry import lab_to_xyz, xyz_to_lab
from separations.colour.hue_space import lpt_to_xyz, xyz_to_lpt

FloatArray = NDArray[np.float64]

_FINE = 4097


def hand_levels(art: ArtTable, colour: SourceColour, top: int) -> FloatArray | None:
    """What each channel level counts as after exposure, contrast and curve.

    Parameters
    ----------
    art : ArtTable
        The photograph's keys.
    colour : SourceColour
        Its encoding: exposure acts on light, the others on what is encoded.
    top : int
        The greatest level.

    Returns
    -------
    ndarray, shape (top + 1,), float64, or None
        0 to 1, never falling; None where nothing is changed.

    Notes
    -----
    A stop doubles or halves the light; what surpasses white is white. Contrast c bends v into
    v + c v (1 - v) (2 v - 1): both ends and the middle stay, the slope there is 1 + c / 2.
    """
    if art.exposure == 0.0 and art.contrast == 0.0 and not art.curve:
        return None
    value = np.linspace(0.0, 1.0, top + 1)
    if art.exposure != 0.0:
        fine = np.linspace(0.0, 1.0, _FINE)
        light = np.maximum.accumulate(np.asarray(colour.curves[0].linear(fine)))
        seen = np.interp(value, fine, light) * 2.0**art.exposure
        rising = np.append(True, np.diff(light) > 0.0)
        value = np.interp(seen, light[rising], fine[rising])
    if art.contrast != 0.0:
        value = value + art.contrast * value * (1.0 - value) * (2.0 * value - 1.0)
    if art.curve:
        value = _through(art.curve, value)
    return np.asarray(np.clip(value, 0.0, 1.0))


def _through(pairs: tuple[tuple[float, float], ...], value: FloatArray) -> FloatArray:
    """A monotone cubic through pairs, (0, 0) and (1, 1) added where the ends are not told."""
    from scipy.interpolate import PchipInterpolator

    ends = [] if pairs[0][0] == 0.0 else [(0.0, 0.0)]
    last = [] if pairs[-1][0] == 1.0 else [(1.0, 1.0)]
    before, after = zip(*ends, *pairs, *last, strict=True)
    return np.asarray(PchipInterpolator(before, after)(value))


def hand_lab(art: ArtTable, colour: SourceColour, rgb: FloatArray) -> FloatArray:
    """Lab D50 of encoded RGB (..., 3), with the artist's saturation or greys.

    Notes
    -----
    Saturation scales chroma at constant hue and lightness. Greys are made of light: the
    weighted mean of the three channels, as through a coloured glass before a grey film.
    """
    if art.grey is not None:
        return xyz_to_lab(colour.xyz(_grey_of(art.grey, colour, rgb)))
    lab = colour.lab(rgb)
    if art.saturation == 1.0:
        return lab
    seen = xyz_to_lpt(lab_to_xyz(lab))
    seen[..., 1:] *= art.saturation
    return xyz_to_lab(np.maximum(lpt_to_xyz(seen), 0.0))


def _grey_of(weights: tuple[float, float, float], colour: SourceColour,
             rgb: FloatArray) -> FloatArray:
    """Encoded greys, three equal channels."""
    share = np.array(weights) / sum(weights)
    light = sum(part * np.asarray(curve.linear(rgb[..., channel])) for channel, (part, curve) in
                enumerate(zip(share, colour.curves, strict=True)))
    fine = np.linspace(0.0, 1.0, _FINE)
    known = np.maximum.accumulate(np.asarray(colour.curves[0].linear(fine)))
    rising = np.append(True, np.diff(known) > 0.0)
    grey = np.interp(light, known[rising], fine[rising])
    return np.repeat(grey[..., None], 3, axis=-1)
