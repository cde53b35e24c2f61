"""Plan view and flat sheet: the outline and every place on it led from one to the other.

The flat topsheet is longer than the pressed board seen from above: along the length each station
moves to its arc length on the side profile, and widths are kept.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from preflight.board.board_outline import BoardOutline
from preflight.board.side_profile import ProfileFigures, SideProfile, profile_from_figures

View = Literal["flat", "plan"]
#: Straight edges are led over in steps no longer than this (mm).
_STEP_MM = 2.0
_LEAST_MOVE_MM = 0.005


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardFrames:
    """How places as the job gives them lie on the films.

    Attributes
    ----------
    way : str
        ``as drawn``; ``developed`` from a plan to the flat sheet; ``folded`` from the flat sheet
        to the plan of the pressed board.
    profile : SideProfile or None
        Without one everything is as drawn.
    middle_arc_mm : float
        Arc length (mm) at the flat sheet's mid-length, from the plan's mid-length.
    plan_length_mm, flat_length_mm : float or None
        Lengths of the outline as seen from above and flat, where a profile tells both.
    """

    way: Literal["as drawn", "developed", "folded"] = "as drawn"
    profile: SideProfile | None = None
    middle_arc_mm: float = 0.0
    plan_length_mm: float | None = None
    flat_length_mm: float | None = None

    def on_film(self, points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Points (N, 2) in the films' board frame (mm); y is kept."""
        if self.profile is None or self.way == "as drawn":
            return points_mm
        x_mm = points_mm[:, 0]
        moved = (self.profile.arc_length_mm(x_mm) - self.middle_arc_mm
                 if self.way == "developed" else
                 self.profile.station_at(x_mm + self.middle_arc_mm))
        return np.column_stack([moved, points_mm[:, 1]])

    def ring_on_film(self, ring_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """A closed ring (N, 2) in the films' frame, with points between where edges bend."""
        if self.profile is None or self.way == "as drawn":
            return ring_mm
        return self.on_film(_finely(ring_mm))


def frames_between(profile: SideProfile | None, outline: BoardOutline, view: View,
                   film_view: View) -> BoardFrames:
    """Lead from the view that the outline is drawn in to the one that the films need.

    Parameters
    ----------
    profile : SideProfile or None
        The pressed board from its side.
    outline : BoardOutline
        As drawn.
    view, film_view : View
        Of the drawing; and of the films: flat before pressing, plan on the pressed board.
    """
    if profile is None:
        return BoardFrames()
    ends = float(outline.ring_mm[:, 0].min()), float(outline.ring_mm[:, 0].max())
    if view == "plan":
        arcs = profile.arc_length_mm(np.array(ends))
        middle, plan, flat = float(arcs.mean()), ends[1] - ends[0], float(arcs[1] - arcs[0])
    else:
        middle = float(profile.arc_mm[0] + profile.arc_mm[-1]) / 2
        stations = profile.station_at(np.array(ends) + middle)
        plan, flat = float(stations[1] - stations[0]), ends[1] - ends[0]
    way: Literal["as drawn", "developed", "folded"] = (
        "as drawn" if view == film_view else "developed" if film_view == "flat" else "folded")
    return BoardFrames(way=way, profile=profile, middle_arc_mm=middle, plan_length_mm=plan,
                       flat_length_mm=flat)


def outline_on_film(outline: BoardOutline, frames: BoardFrames) -> BoardOutline:
    """The outline as the films need it, with a remark where it was led over.

    The radius of the sidecut is left out then: the led-over edge is no circle.
    """
    if frames.profile is None:
        return outline
    if frames.way == "as drawn":
        return replace(outline, remarks=(*outline.remarks, *frames.profile.remarks))
    waist = outline.waist_x_mm
    remark = (f"The outline is a plan view, {frames.plan_length_mm:.1f} mm long; along the side "
              f"profile the flat sheet is {frames.flat_length_mm:.1f} mm long."
              if frames.way == "developed" else
              f"The outline is the flat sheet's, {frames.flat_length_mm:.1f} mm long; the pressed "
              f"board seen from above is {frames.plan_length_mm:.1f} mm long.")
    remarks = [*outline.remarks, *frames.profile.remarks, remark]
    if abs(frames.middle_arc_mm) > _LEAST_MOVE_MM:
        remarks.append(f"The flat sheet's middle lies {abs(frames.middle_arc_mm):.2f} mm "
                       f""
            f"towards the {'nose' if frames.middle_arc_mm > 0 else 'tail'} from the pressed "
                       "board's mid-length.")
    return replace(
        outline, ring_mm=frames.ring_on_film(outline.ring_mm), sidecut_radius_mm=None,
        waist_x_mm=None if waist is None else float(frames.on_film(np.array([[waist, 0.0]]))[0, 0]),
        remarks=tuple(remarks))


def profile_for(figures: ProfileFigures, view: View, *, where: str) -> SideProfile:
    """A profile from figures whose ``length_mm`` is that of the drawn outline.

    Of a flat outline the plan length is sought with which the profile is as long along its curve.

    Raises
    ------
    InputProblem
        As `profile_from_figures`.
    """
    if view == "plan":
        return profile_from_figures(figures, where=where)
    longest = profile_from_figures(figures, where=where)  # says what is wrong with the figures

    def over(length_mm: float) -> float:
        tried = profile_from_figures(replace(figures, length_mm=length_mm), where=where)
        return tried.developed_mm - figures.length_mm

    if over(figures.length_mm) < 1e-9:
        return longest
    shortest = figures.length_mm - 1.2 * over(figures.length_mm) - 0.1
    return profile_from_figures(
        replace(figures, length_mm=float(brentq(over, shortest, figures.length_mm, xtol=1e-9))),
        where=where)


def _finely(ring_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """The ring with points added on edges that run along the board by more than the step."""
    end = np.roll(ring_mm, -1, axis=0)
    count = np.maximum(1, np.ceil(np.abs(end - ring_mm)[:, 0] / _STEP_MM)).astype(np.int64)
    edge = np.repeat(np.arange(len(ring_mm)), count)
    rank = np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count)
    share = (rank / count[edge])[:, None]
    return np.asarray(ring_mm[edge] * (1 - share) + end[edge] * share)
