"""The tables of a job file that tell the board, its print area and its wood, as frozen values."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from preflight.job_file import job_values as v
from preflight.job_file import time_values as t
from preflight.units import Length

Varnish = Literal["none", "matt", "satin", "gloss"]
TipShape = Literal["round", "blunt", "pointed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardTable:
    """``[board]``: an outline by numbers, or a file: a drawing or a table of points.

    ``outline_layer``, ``outline_gap`` (gaps up to it are closed) and ``outline_nose`` (which end
    of the drawing is the nose) are for drawings.
    ``outline_view`` tells whether outline and places are those of the flat topsheet, or of the
    pressed board as seen from above (a plan); ``[profile]`` leads from one to the other.
    """

    name: v.Text
    outline: v.Text | None = None
    outline_unit: Literal["mm", "cm", "in", "m", "px", "pt"] | None = None
    outline_smooth: v.YesOrNo = False
    outline_layer: v.Text | None = None
    outline_gap: v.OutlineGap | None = None
    outline_nose: Literal["wider end", "right", "left", "top", "bottom"] | None = None
    outline_view: Literal["flat", "plan"] = "flat"
    length: v.BoardLength | None = None
    contact_length: v.BoardLength | None = None
    nose_width: v.BoardWidth | None = None
    waist_width: v.BoardWidth | None = None
    tail_width: v.BoardWidth | None = None
    taper: v.Offset | None = None
    setback: v.Offset = Length(0.0, "0 mm")
    nose_shape: TipShape = "round"
    tail_shape: TipShape = "round"


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaTable:
    """``[area]``: how far the ink runs past, or stays within, the trim.

    ``edge_dots`` that are ``whole`` print or not by where their middles lie, and reach past the
    edge by less than a halftone cell; else the edge cuts them.
    """

    bleed: v.SmallLength = Length(8.0, "8 mm")
    safety_margin: v.SmallLength = Length(8.0, "8 mm")
    edge_margin: v.SmallLength = Length(3.0, "3 mm")
    edge_dots: Literal["cut", "whole"] = "cut"


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodTable:
    """``[wood]``: the colour of the bare face, and how thirsty it is.

    ``reflectance`` is a file of its spectrum, in place of ``lab``. What the job does not tell is
    invented: `preflight.job_file.job.Job.wood_lab` and ``wood_absorption`` have it.
    """

    name: v.Text = "bamboo"
    lab: v.Lab | None = None
    reflectance: v.Text | None = field(default=None, repr=False)
    absorption: v.ShareValue | None = None
    figure_seed: v.Seed = 158


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishTable:
    """``[finish]``: what is laid over the cured print.

    ``varnish`` changes what proof and report show; films stay as they are. ``dries_through`` is
    its data sheet's time until the board may be used.
    """

    varnish: Varnish = "none"
    dries_through: t.WaitingValue | None = None
