"""What a picture's levels mean as light, by a grey scale of known densities that lies in it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from preflight.input_problem import InputProblem
from separations.uses.calibration.wedge_films import WedgeSheet
from separations.uses.press_scan.beside_target import BesideTarget
from separations.uses.press_scan.light_field import light_field
from separations.uses.press_scan.patch_light import read_patch
from separations.uses.press_scan.scan_picture import ScanPicture
from separations.uses.press_scan.sheet_place import SheetPlace

FloatArray = NDArray[np.float64]

#: Steps must be apart by this (levels, 0 to 1), or they are one.
_LEAST_APART = 0.002
#: Beyond the scale's ends light goes on with the last slope (logarithms), held between these.
_SLOPES = (0.5, 2.0)
_LEAST_LIGHT = 1e-6
_ROUNDS = 2
#: What tells the light of such a picture's levels.
GREY_TOLD = "the grey scale beside the sheet tells"


def with_grey_curve(picture: ScanPicture, place: SheetPlace, laid: WedgeSheet,
                    grey: BesideTarget) -> ScanPicture:
    """The picture, its levels read by the grey scale.

    Raises
    ------
    InputProblem
        When a step lies outside the picture or its place is not even; when steps do not darken as
        their densities rise.
    """
    levels = grey.levels(picture)
    order = np.argsort(grey.values[:, 0], kind="stable")
    if (np.diff(levels[order], axis=0) > -_LEAST_APART).any():
        first = int((np.diff(levels[order], axis=0) > -_LEAST_APART).any(axis=1).argmax())
        raise InputProblem(
            where=f"{grey.path}: {grey.names[order[first + 1]]}",
            found=f"a step that is no darker than {grey.names[order[first]]}",
            would_do="the steps' own densities and places, of a scale no darker than the picture "
                     "tells,")
    read = picture
    for _ in range(_ROUNDS):
        field = light_field([read_patch(read, place, laid, patch) for patch in laid.patches])
        light = 10.0 ** -grey.values * field.over_mean(grey.at_px)
        read = replace(picture, light=_curves(picture, levels[order], light[order]),
                       colour_told=GREY_TOLD)
    return read


def _curves(picture: ScanPicture, levels: FloatArray, light: FloatArray) -> NDArray[np.float32]:
    """Light of all levels; ``levels`` and ``light`` of the steps (N, 3), darkening.

    Laid over the light that the profile tells, both as logarithms, since a camera bends that
    little.
    """
    found = []
    for channel in range(3):
        told = np.log(np.maximum(picture.light[channel], _LEAST_LIGHT).astype(np.float64))
        at = np.interp(levels[::-1, channel], np.linspace(0.0, 1.0, len(told)), told)
        true = np.log(light[::-1, channel])
        true += at[-1] - true[-1]
        low, high = (float(np.clip((true[b] - true[a]) / (at[b] - at[a]), *_SLOPES))
                     for a, b in ((0, 1), (-2, -1)))
        within = PchipInterpolator(at, true)(np.clip(told, at[0], at[-1]))
        bent = (within + low * np.minimum(told - at[0], 0.0)
                + high * np.maximum(told - at[-1], 0.0))
        found.append(np.where(picture.light[channel] > _LEAST_LIGHT, np.exp(bent), 0.0))
    return np.asarray(found, np.float32)
