"""What a set of film tones looks like once printed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from separations.colour.colorimetry import (
    D50_XYZ,
    WIDE_RGB_TO_XYZ,
    wide_rgb_to_xyz,
    xyz_to_lab,
    xyz_to_wide_rgb,
)
from separations.runtime.parallel_rows import share_rows

if TYPE_CHECKING:
    from separations.colour.print_kernels import PrintSums

FloatArray = NDArray[np.float64]

MOST_INKS = 8
#: Entries of a tone curve table.
CURVE_ENTRIES = 1025
_LEAST_LIGHT = 1e-5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PrintModel:
    """A substrate, k inks and how their halftones mix.

    Attributes
    ----------
    ink_names : tuple of str
        The k inks, 1 to 8, in print order.
    primaries_rgb : ndarray, shape (2^k, 3), float64
        Linear wide-gamut RGB of the bare substrate (index 0) and every overprint of solids;
        bit i of the index says whether ink i is there.
    measured : ndarray, shape (2^k,), bool
        Whether that overprint was measured (else it is an estimate).
    curves : ndarray, shape (k, 3, T), float64
        Area under ink (0 to 1) by film tone, evenly spaced from 0 to 1, per channel.
    n : ndarray, shape (3,), float64
        Yule-Nielsen factor per channel, at least 1.
    spread : ndarray, shape (k * 2^k or 0, 3), float64
        How much the area of ink i grows by a (1 - a) times this on each overprint; row
        i 2^k + overprint. Empty where nothing was fitted.

    Notes
    -----
    Source: the Yule-Nielsen modified Neugebauer sum with a tone curve per ink and channel;
    ink spreading by superposition condition as Hersch and Crete 2005, one coefficient each.
    """

    ink_names: tuple[str, ...]
    primaries_rgb: FloatArray
    measured: NDArray[np.bool_]
    curves: FloatArray
    n: FloatArray
    spread: FloatArray

    @property
    def ink_count(self) -> int:
        """Number of inks k."""
        return len(self.ink_names)

    @property
    def bent_primaries(self) -> FloatArray:
        """Overprints to the power 1/n; shape (2^k, 3)."""
        return np.asarray(np.maximum(self.primaries_rgb, _LEAST_LIGHT) ** (1.0 / self.n))

    @property
    def substrate_lab(self) -> FloatArray:
        """Lab of the bare substrate; shape (3,)."""
        return np.asarray(self.primaries_lab[0])

    @property
    def primaries_lab(self) -> FloatArray:
        """Lab of every overprint; shape (2^k, 3)."""
        return xyz_to_lab(wide_rgb_to_xyz(self.primaries_rgb))

    def predict_xyz(self, tones: ArrayLike) -> FloatArray:
        """XYZ of printed film tones.

        Parameters
        ----------
        tones : array_like, shape (..., k), float
            Film tones, 0 to 1.

        Returns
        -------
        ndarray, shape (..., 3), float64
            XYZ D50, Y = 1 for the perfect diffuser.
        """
        from separations.colour.row_colours import rows_to_xyz

        asked = np.asarray(tones, np.float64)
        flat = np.ascontiguousarray(np.clip(asked.reshape(-1, self.ink_count), 0.0, 1.0))
        out = np.empty((len(flat), 3))
        sums = print_sums(self)

        def work(first: int, stop: int) -> None:
            rows_to_xyz(flat[first:stop], sums, out[first:stop])

        share_rows(len(flat), work, least=4096)
        return out.reshape(*asked.shape[:-1], 3)

    def predict_lab(self, tones: ArrayLike) -> FloatArray:
        """Lab D50 of printed film tones (0 to 1); shape (..., k) to (..., 3)."""
        return xyz_to_lab(self.predict_xyz(tones))


def print_sums(model: PrintModel) -> PrintSums:
    """What the compiled sums need of a model."""
    from separations.colour.print_kernels import PrintSums

    return PrintSums(
        curves=model.curves, bent=model.bent_primaries, n=model.n,
        spread=model.spread.reshape(-1, 1 << model.ink_count, 3),
        to_xyz=WIDE_RGB_TO_XYZ, white=D50_XYZ)


def plain_model(ink_names: tuple[str, ...], primaries_xyz: ArrayLike,
                measured: NDArray[np.bool_], *, curves: FloatArray | None = None,
                n: float = 2.0) -> PrintModel:
    """A model without ink spreading, from the XYZ of its 2^k overprints.

    Parameters
    ----------
    ink_names : tuple of str
        The k inks, in print order.
    primaries_xyz : array_like, shape (2^k, 3), float
        XYZ D50 of the substrate and the overprints; bit i of the index: ink i is there.
    measured : ndarray, shape (2^k,), bool
        Which of them were measured.
    curves : ndarray, shape (k, T), float64, optional
        Area under ink (0 to 1) by film tone; straight lines if not given.
    n : float
        Yule-Nielsen factor, at least 1. Source of the default 2: full scatter in the
        substrate, Yule and Nielsen 1951.
    """
    inks = len(ink_names)
    lines = np.tile(np.linspace(0.0, 1.0, CURVE_ENTRIES), (inks, 1)) if curves is None else curves
    return PrintModel(
        ink_names=ink_names,
        primaries_rgb=np.maximum(xyz_to_wide_rgb(primaries_xyz), _LEAST_LIGHT),
        measured=measured,
        curves=np.ascontiguousarray(np.repeat(lines[:, None, :], 3, axis=1)),
        n=np.full(3, float(n)),
        spread=np.empty((0, 3)),
    )


def with_weaker_first_ink(model: PrintModel, most: float) -> PrintModel:
    """A model whose first ink at full tone prints as at ``most`` (0 to 1)."""
    steps = np.linspace(0.0, 1.0, model.curves.shape[2])
    curves = model.curves.copy()
    curves[0] = [np.interp(most * steps, steps, curve) for curve in model.curves[0]]
    return replace(model, curves=curves)


def predict_image_lab(planes: NDArray[np.uint16], model: PrintModel) -> NDArray[np.float32]:
    """Lab of a whole separation.

    Parameters
    ----------
    planes : ndarray, shape (k, rows, cols), uint16
        Film tones, 65535 = 100 %.
    model : PrintModel
        Substrate and inks, in the order of the planes.

    Returns
    -------
    ndarray, shape (rows, cols, 3), float32
        Lab D50.
    """
    return _predict_image(planes, model, as_lab=True)


def _predict_image(planes: NDArray[np.uint16], model: PrintModel, *,
                   as_lab: bool) -> NDArray[np.float32]:
    from separations.colour.image_kernels import (
        block_scratch,
        predict_plane_rows,
        single_sums,
    )

    if planes.ndim != 3 or planes.shape[0] != model.ink_count or planes.dtype != np.uint16:
        raise ValueError("the planes are not uint16 (k, rows, cols) of this model's inks")
    rows, cols = planes.shape[1:]
    out = np.empty((rows, cols, 3), np.float32)
    sums = single_sums(print_sums(model))
    whole = np.ascontiguousarray(planes)

    def work(first: int, stop: int) -> None:
        predict_plane_rows(whole, first, stop, sums, as_lab, block_scratch(len(whole)), out)

    share_rows(rows, work, least=max(1, 65536 // max(cols, 1)))
    return out
