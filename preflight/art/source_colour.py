"""What an artwork's numbers mean: from its own encoding to CIELAB under D50, in float.

Pixels stay in their own encoding all the way; only the nodes of an ink lattice are converted
here, so no picture pays for colour management pixel by pixel.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.art.icc_profile import D50_XYZ, IccProfile, ToneCurve

#: CIE 15: the cube root gives way to a straight line below (6/29)³.
_LAB_EPSILON = (6.0 / 29.0) ** 3
_LAB_SLOPE = (29.0 / 6.0) ** 2 / 3.0

#: sRGB's transfer function. Source: IEC 61966-2-1.
SRGB_CURVE = ToneCurve(formula=(2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045, 0.0, 0.0))
Xy = tuple[float, float]
#: x and y of sRGB's red, green, blue and white. Source: IEC 61966-2-1 (ITU-R BT.709, D65).
SRGB_XY: tuple[Xy, Xy, Xy, Xy] = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06), (0.3127, 0.3290))
#: Bradford cone responses. Source: Lam 1985, as ICC.1 annex E gives it.
_BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367],
                      [0.0389, -0.0685, 1.0296]])


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceColour:
    """An RGB encoding: three tone curves and a matrix to XYZ (D50).

    Grey pictures are RGB pictures whose three values are equal. Instances are small, hashable and
    can be pickled.

    Attributes
    ----------
    name : str
        The profile's own name, or ``"sRGB"``.
    assumed : bool
        True when the picture has no usable profile and is taken for sRGB.
    matrix : tuple of 3 tuples of 3 float
        Linear RGB to XYZ, row by row; Y of white is 1.
    curves : tuple of 3 ToneCurve
        Encoded to linear, for red, green and blue.
    lightness_scale : bool
        The curves give L* / 100 and not linear light (some grey profiles).
    """

    name: str
    assumed: bool
    matrix: tuple[tuple[float, ...], ...]
    curves: tuple[ToneCurve, ToneCurve, ToneCurve]
    lightness_scale: bool = False

    @property
    def is_linear(self) -> bool:
        """Whether its numbers are in proportion to light."""
        return not self.lightness_scale and all(curve.is_linear for curve in self.curves)

    def xyz(self, rgb: NDArray[np.float64]) -> NDArray[np.float64]:
        """CIE XYZ under D50, shape (..., 3), Y of white 1, of encoded RGB (..., 3) in 0 to 1."""
        linear = np.stack([curve.linear(rgb[..., channel])
                           for channel, curve in enumerate(self.curves)], axis=-1)
        if self.lightness_scale:
            f = (100.0 * linear + 16.0) / 116.0
            linear = np.where(f > 6.0 / 29.0, f**3, (f - 4.0 / 29.0) / _LAB_SLOPE)
        return np.asarray(linear @ np.array(self.matrix).T)

    def lab(self, rgb: NDArray[np.float64]) -> NDArray[np.float64]:
        """CIELAB under D50, shape (..., 3), of encoded RGB.

        Parameters
        ----------
        rgb : NDArray of float64, shape (..., 3)
            0 to 1; values beyond are clipped.

        Notes
        -----
        Source: CIE 15 (CIELAB); relative to the white of ICC's connection space.
        """
        relative = self.xyz(rgb) / np.array(D50_XYZ)
        f = np.where(relative > _LAB_EPSILON, np.cbrt(relative),
                     _LAB_SLOPE * relative + 4.0 / 29.0)
        return np.stack([116.0 * f[..., 1] - 16.0, 500.0 * (f[..., 0] - f[..., 1]),
                         200.0 * (f[..., 1] - f[..., 2])], axis=-1)


def srgb(*, assumed: bool, name: str = "sRGB") -> SourceColour:
    """The sRGB encoding by its formula, adapted to D50 by Bradford.

    Notes
    -----
    Source: IEC 61966-2-1; ICC.1 annex E (Bradford).
    """
    return SourceColour(name=name, assumed=assumed, matrix=_SRGB_MATRIX, curves=(SRGB_CURVE,) * 3)


def encoding(name: str, xy: tuple[Xy, Xy, Xy, Xy], curve: ToneCurve) -> SourceColour:
    """An RGB encoding by the x and y of its red, green, blue and white, and its curve.

    Raises
    ------
    ValueError
        When the primaries span no colours.
    """
    try:
        matrix = _matrix_of(xy)
    except np.linalg.LinAlgError:
        raise ValueError("primaries that span no colours") from None
    if not np.isfinite(matrix).all():
        raise ValueError("primaries that span no colours")
    return SourceColour(name=name, assumed=False, matrix=matrix, curves=(curve,) * 3)


def colour_of_profile(profile: IccProfile, name: str) -> SourceColour | None:
    """The encoding that a profile describes, or None when it works by tables or is not RGB."""
    if not profile.curves:
        return None
    if len(profile.curves) == 1:
        return SourceColour(name=name, assumed=False, matrix=_SRGB_MATRIX,
                            curves=(profile.curves[0],) * 3,
                            lightness_scale=profile.lightness_scale)
    red, green, blue = profile.curves
    return SourceColour(name=name, assumed=False, matrix=profile.matrix or _SRGB_MATRIX,
                        curves=(red, green, blue))


def _matrix_of(xy: tuple[Xy, Xy, Xy, Xy]) -> tuple[tuple[float, ...], ...]:
    """Linear RGB to XYZ (D50), rows; the white (1, 1, 1) maps to `D50_XYZ` exactly."""
    xyz = np.array([[x / y, 1.0, (1.0 - x - y) / y] for x, y in xy])
    primaries, white = xyz[:3].T, xyz[3]
    to_d65 = primaries * np.linalg.solve(primaries, white)
    gain = (_BRADFORD @ np.array(D50_XYZ)) / (_BRADFORD @ white)
    to_d50 = np.linalg.inv(_BRADFORD) @ np.diag(gain) @ _BRADFORD @ to_d65
    return tuple(tuple(float(value) for value in row) for row in to_d50)


_SRGB_MATRIX = _matrix_of(SRGB_XY)
