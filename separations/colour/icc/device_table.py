"""From film tones to colour: the print model as curves and a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.colour.colorimetry import D50_XYZ, lab_to_xyz, xyz_to_lab
from separations.colour.icc.icc_encoding import Pipeline, decoded_lab, encoded_lab
from separations.colour.print_model import PrintModel

FloatArray = NDArray[np.float64]

#: Nodes along each axis, by the number of inks. Tables grow with their power.
_NODES = {2: 65, 3: 33, 4: 17, 5: 13, 6: 9, 7: 7, 8: 6}
CURVE_SAMPLES = 1025
#: Black of the perceptual reference medium, Y = 1 for its white. Source: ICC.1:2010, 6.3.3.
PERCEPTUAL_BLACK_XYZ: FloatArray = np.array([0.00336, 0.0034731, 0.00287])
#: Share of a straight line in the curves before the table, so that they can be turned round.
_LEAST_RISE = 0.02


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Medium:
    """What the profile's colours are relative to.

    Attributes
    ----------
    white_xyz, black_xyz : ndarray, shape (3,), float64
        XYZ D50 of the lightest and of the darkest printable colour.
    """

    white_xyz: FloatArray
    black_xyz: FloatArray

    def relative_lab(self, lab: FloatArray) -> FloatArray:
        """Lab relative to the medium's white of Lab as measured; shape (..., 3)."""
        return xyz_to_lab(lab_to_xyz(lab) * (D50_XYZ / self.white_xyz))

    def measured_lab(self, relative: FloatArray) -> FloatArray:
        """Undoes `relative_lab`."""
        return xyz_to_lab(lab_to_xyz(relative) * (self.white_xyz / D50_XYZ))

    def perceptual_lab(self, relative: FloatArray) -> FloatArray:
        """Relative Lab with the medium's black moved to that of the reference medium."""
        black = self.black_xyz * (D50_XYZ / self.white_xyz)
        return _black_moved(relative, black, PERCEPTUAL_BLACK_XYZ)


def photo_lab_of_perceptual(lab: FloatArray) -> FloatArray:
    """Lab of a photograph whose black is nought, from the reference medium's Lab."""
    moved = lab_to_xyz(_black_moved(lab, PERCEPTUAL_BLACK_XYZ, np.zeros(3)))
    return xyz_to_lab(np.maximum(moved, 0.0))


def _black_moved(lab: FloatArray, black: FloatArray, to: FloatArray) -> FloatArray:
    share = (D50_XYZ - to) / (D50_XYZ - black)
    return xyz_to_lab((lab_to_xyz(lab) - black) * share + to)


def area_curves(model: PrintModel) -> FloatArray:
    """Printed area by film tone, shape (k, CURVE_SAMPLES), strictly rising from 0 to 1."""
    mean = model.curves.mean(axis=1)
    grid = np.linspace(0.0, 1.0, CURVE_SAMPLES)
    told = np.stack([np.interp(grid, np.linspace(0.0, 1.0, len(curve)), curve) for curve in mean])
    rising = np.maximum.accumulate(told, axis=1)
    rising = (rising - rising[:, :1]) / (rising[:, -1:] - rising[:, :1])
    return np.asarray((1.0 - _LEAST_RISE) * rising + _LEAST_RISE * grid)


def turned_curves(curves: FloatArray) -> FloatArray:
    """The inverse of strictly rising curves over 0 to 1, sampled alike."""
    grid = np.linspace(0.0, 1.0, curves.shape[1])
    return np.stack([np.interp(grid, curve, grid) for curve in curves])


def device_tables(model: PrintModel, medium: Medium, channels: Sequence[int]
                  ) -> tuple[Pipeline, Pipeline]:
    """Film tones to relative colorimetric and to perceptual Lab.

    Parameters
    ----------
    model : PrintModel
        Wood and k inks, in print order.
    medium : Medium
        What colours are relative to.
    channels : sequence of int
        Which ink each channel of the profile is.

    Returns
    -------
    tuple of Pipeline
        Shares as `encoded_lab` has them.
    """
    curves = area_curves(model)[list(channels)]
    count = _NODES[len(channels)]
    steps = turned_curves(curves)
    places = np.linspace(0.0, CURVE_SAMPLES - 1.0, count)
    tones = [np.interp(places, np.arange(CURVE_SAMPLES), step) for step in steps]
    asked = np.stack(np.meshgrid(*tones, indexing="ij"), axis=-1)
    inked = np.zeros_like(asked)
    inked[..., list(channels)] = asked
    relative = medium.relative_lab(model.predict_lab(inked))
    behind = np.tile(np.linspace(0.0, 1.0, 2), (3, 1))
    return (Pipeline(before=curves, table=encoded_lab(relative), behind=behind),
            Pipeline(before=curves, table=encoded_lab(medium.perceptual_lab(relative)),
                     behind=behind))


def colours_through(pipeline: Pipeline, tones: FloatArray) -> FloatArray:
    """Lab that a reader of the table finds for film tones (N, k), with linear interpolation."""
    from scipy.interpolate import RegularGridInterpolator

    grid = np.linspace(0.0, 1.0, pipeline.before.shape[1])
    inside = np.stack([np.interp(tones[:, ink], grid, curve)
                       for ink, curve in enumerate(pipeline.before)], axis=1)
    axes = [np.linspace(0.0, 1.0, size) for size in pipeline.table.shape[:-1]]
    return decoded_lab(RegularGridInterpolator(axes, pipeline.table)(inside))
