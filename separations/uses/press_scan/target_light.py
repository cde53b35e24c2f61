"""The light of a colour target beside the sheet, evened as the wood beside the patches tells."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.uses.press_scan.beside_target import Beside
from separations.uses.press_scan.light_field import light_field
from separations.uses.press_scan.patch_light import PatchLight
from separations.uses.press_scan.scan_picture import ScanPicture


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TargetLight:
    """Linear light of a colour target's patches (N, 3) and of bare wood (3,) in the same place."""

    patches: NDArray[np.float64]
    wood: NDArray[np.float64]


def target_light(picture: ScanPicture, lights: Sequence[PatchLight], beside: Beside
                 ) -> TargetLight | None:
    """The target as it would be in the middle of the sheet, where light falls as on the wood."""
    target = beside.colours
    if target is None or not target.is_in(picture.path):
        return None
    steps = np.linspace(0.0, 1.0, picture.light.shape[1])
    levels = target.levels(picture)
    seen = np.stack([np.interp(levels[:, channel], steps, picture.light[channel])
                     for channel in range(3)], axis=1)
    field = light_field(lights)
    return TargetLight(patches=seen / field.over_mean(target.at_px), wood=field.mean)
