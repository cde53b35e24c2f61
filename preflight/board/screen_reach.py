"""How much of a pressed board a flat screen reaches."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely import union_all
from shapely.geometry import box

from preflight.board.area_mask import Area
from preflight.board.side_profile import SideProfile

_WIDE_MM = 10_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ScreenReach:
    """The stretches of the board that the squeegee can lay the mesh on.

    Attributes
    ----------
    mesh_z_mm : float
        Height of the mesh at rest (mm, as the profile counts it).
    press_down_mm : float
        Widest gap that is still bridged (mm).
    spans_mm : tuple of (float, float)
        Stretches in x (mm), tail to nose.
    through_mm : tuple of (float or None)
        Where the board first rises through the mesh, towards the tail and towards the nose of
        mid-length (x, mm); None where it does not.
    """

    mesh_z_mm: float
    press_down_mm: float
    spans_mm: tuple[tuple[float, float], ...]
    through_mm: tuple[float | None, float | None] = (None, None)

    @property
    def zone(self) -> Area:
        """The stretches as an area, wider than any board."""
        return union_all([box(start, -_WIDE_MM, end, _WIDE_MM) for start, end in self.spans_mm])


def screen_reach(profile: SideProfile, *, off_contact_mm: float, press_down_mm: float
                 ) -> ScreenReach:
    """Find where the board's face lies between the mesh and the deepest that it can be pressed.

    Parameters
    ----------
    profile : SideProfile
        The pressed board as it lies under the screen.
    off_contact_mm : float
        Gap between mesh and board at mid-length (mm), at least 0.
    press_down_mm : float
        Widest gap that the squeegee bridges (mm), at least the off-contact gap.
    """
    mesh_z_mm = float(profile.height_mm(np.zeros(1))[0]) + off_contact_mm
    borders = [profile.curve.x]
    for level in (mesh_z_mm, mesh_z_mm - press_down_mm):
        borders.append(np.atleast_1d(profile.curve.solve(level, extrapolate=False)))
    at = np.concatenate(borders)
    at = np.unique(at[np.isfinite(at)])
    gap = mesh_z_mm - profile.height_mm((at[1:] + at[:-1]) / 2)
    reached = (gap >= -1e-9) & (gap <= press_down_mm + 1e-9)
    spans: list[tuple[float, float]] = []
    for start, end in zip(at[:-1][reached], at[1:][reached], strict=True):
        if spans and spans[-1][1] == start:
            spans[-1] = (spans[-1][0], float(end))
        else:
            spans.append((float(start), float(end)))
    above = gap < -1e-9
    return ScreenReach(
        mesh_z_mm=mesh_z_mm, press_down_mm=press_down_mm, spans_mm=tuple(spans),
        through_mm=(max((float(x) for x in at[1:][above] if x <= 0), default=None),
                    min((float(x) for x in at[:-1][above] if x >= 0), default=None)))
