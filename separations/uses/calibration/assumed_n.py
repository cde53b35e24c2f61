"""What it does to a tone curve that the Yule-Nielsen factor was assumed, not measured.

Densities tell how dark a tint is, not whether its darkness is ink or light caught between the
dots: every n makes a curve of its own from them, and each fits as well.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from separations.uses.calibration.curve_fit import CurveFit, fit_curve
from separations.uses.calibration.wedge_signals import density_signal

FloatArray = NDArray[np.float64]

#: Between which n a print is looked for when densities alone were read. Source: Murray 1936 for
#: 1, no scatter; Yule and Nielsen 1951 for 2, full scatter, in theory. Fits to readings at times
#: give more, which stands for other faults of the law than scatter. That prints on wood lie
#: between the two: common practice, no source.
N_PLAUSIBLE = (1.0, 2.0)
_N_TRIED = (1.0, 1.5, 2.0)


def shift_by_n(tones: FloatArray, density: FloatArray, curve: CurveFit, noise_d: FloatArray
               ) -> FloatArray:
    """How far another n may move a curve that was fitted to densities.

    Parameters
    ----------
    tones, density : ndarray, shape (N,), float64
        Film tones (0 to 1) and densities of the wedge.
    curve : CurveFit
        The curve as fitted with the assumed n.
    noise_d : ndarray, shape (N,), float64
        Expected noise of each density.

    Returns
    -------
    ndarray, shape (M,), float64
        Most that the printed tone at each of ``curve.film`` moves (0 to 1) with any n of
        `N_PLAUSIBLE`. Area falls steadily as n grows, so the ends of the range bound it.
    """
    moved = [np.abs(fit_curve(density_signal(tones, density, n, noise_d)).printed - curve.printed)
             for n in _N_TRIED]
    return np.asarray(np.max(moved, axis=0))
