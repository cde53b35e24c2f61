"""The light of one ink's wedge in the colour it shows best, and how sure it is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.colour.tone_values import tone_value_of_light
from separations.uses.press_scan.grain_in_wedges import without_grain

FloatArray = NDArray[np.float64]

#: No density of a picture is surer than this, whatever its repeats tell. Own rule.
_LEAST_NOISE_D = 0.002
#: How much of that noise neighbouring tones share, which lie on like wood; and what a smooth curve
#: misses of a press besides (tone value, 0 to 1). Own rules, by made-up pictures.
_NEIGHBOURS, _LEAST_SHARED = 0.5, 0.002
#: Noise where no tone was read twice.
_NOISE_D = 0.01
#: Deviation of middle tones and of all (tone value, 0 to 1) of an ink that shows in colour rather
#: than in lightness, where the picture's format keeps fewer colours than lightnesses. Own rules, by
#: made-up pictures: dots of one colour are blurred together, which makes their tint read darker.
_LOSSY_SD, _LOSSY_LEAST = 0.022, 0.006
#: How much of each of red, green and blue lightness is. Source: ITU-R BT.601, as JPEG has it.
_LIGHTNESS = np.array([0.299, 0.587, 0.114])
#: Levels rise about with this power of light.
_POWER = 0.45


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ToldWedge:
    """A wedge.

    Attributes
    ----------
    light : ndarray, shape (N,), float64
        Light of each patch over the wood's beside it; NaN where not read.
    noise_d : float
        Deviation of each density, by tones that were read twice.
    shared_sd : ndarray, shape (N,), float64
        Deviation of each tone value (0 to 1) that all patches share.
    """

    light: FloatArray
    noise_d: float
    shared_sd: FloatArray


def told_wedge(light: FloatArray, softer: FloatArray, tones: FloatArray, solid: FloatArray,
               best: int, *, lossy: bool) -> ToldWedge:
    """Read a wedge in one colour.

    Parameters
    ----------
    light, softer : ndarray, shape (N, 3), float64
        Light of its patches over the wood's, as read and with more sharpening undone.
    tones : ndarray, shape (N,), float64
        Film tones, 0 to 1.
    solid : ndarray, shape (3,), float64
        Light of the solid.
    best : int
        The colour.
    lossy : bool
        Whether the picture's format keeps fewer colours than lightnesses.
    """
    righted = without_grain(light, tones, solid, best)
    value, other = (tone_value_of_light(one[:, best], np.nanmedian(one[tones == 1.0, best]))
                    for one in (light, softer))
    noise_d = _noise_of_repeats(righted, tones)
    parts = [_by_tone(np.nan_to_num(np.abs(other - value)), tones),
             _NEIGHBOURS * np.log(10.0) * noise_d * _light_share(value, solid[best]),
             np.full(len(tones), _LEAST_SHARED)]
    if lossy:
        parts.append(_by_format(value, solid, best))
    return ToldWedge(light=righted, noise_d=noise_d,
                     shared_sd=np.asarray(np.sqrt(np.sum(np.square(parts), axis=0))))


def _noise_of_repeats(light: FloatArray, tones: FloatArray) -> float:
    """Deviation of a density, by tones that were read twice or more."""
    density = -np.log10(np.maximum(light, 1e-4))
    apart = [np.ptp(read) for tone in np.unique(tones)
             if len(read := density[(tones == tone) & ~np.isnan(density)]) > 1]
    if len(apart) < 4:
        return _NOISE_D
    # of two draws, half differ by less than 0.954 deviations
    return max(float(np.median(apart)) / 0.954, _LEAST_NOISE_D)


def _light_share(value: FloatArray, solid: float) -> FloatArray:
    """How far a tone value moves for each share by which its light is off."""
    light = 1.0 - np.clip(np.nan_to_num(value), 0.0, 1.0) * (1.0 - solid)
    return np.asarray(light / abs(1.0 - solid))


def _by_tone(found: FloatArray, tones: FloatArray) -> FloatArray:
    """For each patch the mean of all of its tone."""
    return np.array([found[tones == tone].mean() for tone in tones])


def _by_format(value: FloatArray, solid: FloatArray, best: int) -> FloatArray:
    falls = 1.0 - np.maximum(solid, 0.0) ** _POWER
    in_colour = abs(float(falls[best] - falls @ _LIGHTNESS)) / max(abs(float(falls[best])), 1e-3)
    middle = 4.0 * np.clip(value, 0.0, 1.0) * (1.0 - np.clip(value, 0.0, 1.0))
    return np.asarray(np.nan_to_num(min(in_colour, 1.0) * (_LOSSY_LEAST + _LOSSY_SD * middle)))
