"""How dark an ink's solid is in a picture, and in which colour of light it shows best."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from separations.uses.calibration.patches import Patch
from separations.uses.press_scan.patch_light import PatchLight

#: A solid that changes the light by less is too faint to see marks of it.
_LEAST_CHANGE = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class SolidLight:
    """A solid's light over the wood's in the channel (0 to 2) in which it differs most."""

    channel: int
    relative: float


def solid_light(ink: int, read: Mapping[Patch, PatchLight]) -> SolidLight | None:
    """Of an ink's wedge, the mean of its two; None where none was read or it is too faint."""
    solids = [light.relative for patch, light in read.items()
              if patch.kind == "wedge" and patch.tones[ink] == 1.0]
    if not solids:
        return None
    relative = np.mean(solids, axis=0)
    change = np.nan_to_num(np.abs(1 - relative))
    channel = int(change.argmax())
    if change[channel] < _LEAST_CHANGE:
        return None
    return SolidLight(channel=channel, relative=float(relative[channel]))
