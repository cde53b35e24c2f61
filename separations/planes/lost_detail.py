"""Fine lightness that bringing colours within reach takes away, to be put back."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.art.artwork_pixels import Pixels
from separations.colour.tetrahedral import WHOLE, Places, interpolate_scalar
from separations.runtime.parallel_rows import share_rows

#: Side of the pixels on which lost detail is found (mm on the board): the same at every look,
#: so that a check, a proof and the films agree. Finer detail no ruling carries. Own rule.
_DETAIL_MM = 0.25
#: What is coarser than this (mm) is no detail. Own rule, judged on photographs.
_COARSE_MM = 2.0
#: The most that is put back (L*), and what is too little to see: that much is left out of all.
_MOST, _LEAST = 15.0, 0.1
_BAND = 512
_BLUR_REACH = 3.0
#: Blurs as wide as this many pixels are made on pixels half or a quarter as fine: the same to
#: 0.1 L*, in a fraction of the time.
_WIDE_BLUR = 2.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LostDetail:
    """How much lighter or darker a photograph must be taken for its detail to be seen.

    Attributes
    ----------
    lifts : ndarray of float32, shape (ceil(rows / step), ceil(columns / step))
        In parts of a channel's range (`separations.colour.tetrahedral.WHOLE`).
    step : int
        Pixels of the photograph to one of these, along each side.
    shape : tuple of int
        The photograph's rows and columns.
    """

    lifts: NDArray[np.float32]
    step: int
    shape: tuple[int, int]

    def of_rows(self, first: int, stop: int) -> NDArray[np.int32]:
        """The lifts of some of the photograph's rows; shape (0, 0) where there is none."""
        step = self.step
        above, below = max(first // step - 1, 0), min((stop - 1) // step + 2, len(self.lifts))
        part = self.lifts[above:below]
        if not part.any():
            return NO_LIFTS
        if step > 1:
            part = cv2.resize(part, None, fx=step, fy=step, interpolation=cv2.INTER_LINEAR)
        top = first - above * step
        return np.ascontiguousarray(
            part[top:top + stop - first, :self.shape[1]]).astype(np.int32)


NO_LIFTS = np.zeros((0, 0), np.int32)


def lost_detail(rgb: Pixels, places: Places,
                node_light: NDArray[np.float32], pixel_mm: float) -> LostDetail:
    """Find the detail that a lattice takes from a photograph.

    Parameters
    ----------
    rgb : ndarray, shape (rows, columns, 3), uint8 or uint16
        The photograph.
    places : Places
        Where its levels lie in the lattice.
    node_light : ndarray, shape (33, 33, 33), float32
        How much lighter (L*) each node is than its print is seen.
    pixel_mm : float
        Side of the photograph's pixels on the board.

    Notes
    -----
    Source: what bringing colours in takes of the lightness, high-passed, is added to the picture
    before it is brought in again; Bala, de Queiroz, Eschbach and Wu 2001. Found band by band with
    a fixed overlap, so that memory stays small and the result does not depend on the machine.
    """
    rows, columns = rgb.shape[:2]
    step = max(1, round(_DETAIL_MM / pixel_mm))
    lifts = np.empty((-(-rows // step), -(-columns // step)), np.float32)
    sigma = _COARSE_MM / (step * pixel_mm)
    coarser = 1 << max(0, min(2, int(math.log2(sigma / _WIDE_BLUR)))) if sigma > 0.0 else 1
    reach = max(1, math.ceil(_BLUR_REACH * sigma / coarser)) * coarser
    nodes = np.ascontiguousarray(node_light.ravel())
    bands = list(_bands(len(lifts), reach))

    def work(first: int, stop: int) -> None:
        for top, bottom, above, below in bands[first:stop]:
            lost = _lost(_reduced(rgb[above * step:below * step], step), places, nodes)
            lost -= _blurred(lost, sigma, coarser)
            fine = np.clip(lost[top - above:bottom - above], -_MOST, _MOST)
            lifts[top:bottom] = fine - np.clip(fine, -_LEAST, _LEAST)

    share_rows(len(bands), work)
    lifts *= np.float32(WHOLE / 100.0)
    return LostDetail(lifts=lifts, step=step, shape=(rows, columns))


def _bands(rows: int, reach: int) -> Iterator[tuple[int, int, int, int]]:
    """Bands of rows, and the rows that each must see."""
    for top in range(0, rows, _BAND):
        bottom = min(top + _BAND, rows)
        yield top, bottom, max(top - reach, 0), min(bottom + reach, rows)


def _blurred(light: NDArray[np.float32], sigma: float, coarser: int) -> Any:
    """A blur with a Gaussian of that many pixels; its ends are as if repeated."""
    rows, columns = light.shape
    small = _reduced(light, coarser)
    wide = cv2.GaussianBlur(small, (0, 0), sigma / coarser, borderType=cv2.BORDER_REPLICATE)
    if coarser == 1:
        return wide
    whole = cv2.resize(wide, None, fx=coarser, fy=coarser, interpolation=cv2.INTER_LINEAR)
    return whole[:rows, :columns]


def _reduced(rgb: Any, step: int) -> Any:
    """A picture averaged over squares; its last rows and columns repeated to whole ones."""
    if step == 1:
        return np.ascontiguousarray(rgb)
    beyond = [-side % step for side in rgb.shape[:2]]
    whole = cv2.copyMakeBorder(rgb, 0, beyond[0], 0, beyond[1], cv2.BORDER_REPLICATE) if any(
        beyond) else rgb
    return np.asarray(cv2.resize(
        whole, (whole.shape[1] // step, whole.shape[0] // step), interpolation=cv2.INTER_AREA),
        rgb.dtype)


def _lost(rgb: Any, places: Places,
          nodes: NDArray[np.float32]) -> NDArray[np.float32]:
    out = np.empty(rgb.shape[:2], np.float32)
    interpolate_scalar(rgb, places, nodes, out)
    return out
