"""The tables of a job file for recorded tracks, landmarks on a photo, the ground and a plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from preflight.job_file import job_values as v
from preflight.job_file import track_values as t
from preflight.job_file.job_tables import Beneath
from preflight.job_file.line_table import Dashes, NameStands
from preflight.units import Angle, Length

HeightsFrom = Literal["sea level", "ellipsoid"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LandmarkTable:
    """``[[landmark]]``: a place on a photo of which it is known where on the earth it is.

    ``at`` is counted from the left and top edge of the whole photo as it is looked at, before any
    crop. ``photo`` names the artwork's file; with one photo it may be left out. ``latitude`` and
    ``longitude`` are in degrees of WGS 84 (EPSG:4326).
    """

    at: t.PhotoSpot
    latitude: t.Latitude
    longitude: t.Longitude
    height: t.GroundHeight
    photo: v.Text | None = None
    name: v.Text | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundTable:
    """``[ground]``: how heights are told, and a grid of the ground's heights.

    ``landmark_heights``, ``track_heights`` and ``grid_heights`` say from where heights are
    counted. Where they differ ``geoid_height`` is the height of the sea's level over the
    ellipsoid WGS 84. ``grid_crs`` is what the grid's coordinates are, where its file does not say.
    """

    landmark_heights: HeightsFrom = "sea level"
    track_heights: HeightsFrom = "sea level"
    grid: v.Text | None = None
    grid_heights: HeightsFrom = "sea level"
    grid_crs: v.Text | None = None
    geoid_height: t.GroundHeight | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackTable:
    """``[[track]]``: a recorded track, drawn over the art and the lines, beneath the notes.

    It lies on the ``photo`` that landmarks are marked on, ``on`` the plan, or both. ``number``
    says which track of the file is meant, else all; a part of it is taken by time or by point,
    counted from 1. ``tolerance`` is how far thinning and smoothing may move it on the board.
    ``heights`` says whether its own heights are used, or those of the ground's grid.
    What the ground hides is drawn as ``hidden`` says; ``hidden_points`` names such parts by hand.
    ``casing`` is clear wood on either side of it. ``dashes``, ``arrow``, ``name`` and what belongs
    to them are those of ``[[line]]``.
    """

    file: v.Text
    ink: v.Text
    on: Literal["photo", "plan", "both"] = "photo"
    photo: v.Text | None = None
    number: t.TrackNumber | None = None
    from_time: t.Moment | None = None
    to_time: t.Moment | None = None
    from_point: t.PointNumber | None = None
    to_point: t.PointNumber | None = None
    heights: Literal["track", "ground"] = "track"
    tolerance: t.Tolerance = Length(0.3, "0.3 mm")
    width: v.LineLength = Length(0.6, "0.6 mm")
    dashes: Dashes = ()
    casing: v.LineLength = Length(0.0, "0 mm")
    arrow: v.LineLength = Length(0.0, "0 mm")
    hidden: Literal["dashed", "thin", "left out", "drawn"] = "dashed"
    hidden_points: t.PointParts = ()
    name: v.Text | None = None
    name_at: v.ShareValue = v.HALF
    name_stands: NameStands = "above"
    cap_height: v.TypeLength | None = None
    type_size: v.TypeLength | None = None
    beneath: Beneath = "knock out"
    font: v.Text | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanTable:
    """``[plan]``: the tracks as a map without a ground, with a scale bar and north.

    Its middle lies ``at``; it is ``width`` wide and ``height`` high as one reads it, north up.
    Unturned, north points to the nose. Without a ``scale`` it is as large as its room allows.
    """

    at: v.BoardPoint
    width: v.ArtWidth
    height: v.ArtWidth
    ink: v.Text
    scale: t.PlanScale | None = None
    turn: v.AngleValue = Angle(0.0, "0°")
    line: v.LineLength = Length(0.3, "0.3 mm")
    cap_height: v.TypeLength | None = None
    type_size: v.TypeLength | None = None
    beneath: Beneath = "knock out"
    font: v.Text | None = None
