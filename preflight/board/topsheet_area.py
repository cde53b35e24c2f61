"""Where ink goes on the board: the trim outline, the printed area and the safe area."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from shapely.geometry import MultiPolygon, Polygon

from preflight.board.board_outline import BoardOutline
from preflight.input_problem import InputProblem

PrintStage = Literal["sheet", "board"]
ARC_ERROR_MM = 0.005


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TopsheetArea:
    """Three nested areas in board mm: safe within printed; trim is the board's own edge.

    Attributes
    ----------
    trim : Polygon
        The board's outline, where a sheet is cut.
    printed : Polygon
        Where ink goes: beyond the trim by the bleed (stage ``sheet``), or inside it by the edge
        margin (stage ``board``).
    safe : Polygon
        Where nothing can be lost to cutting and register; within ``trim`` and ``printed``.
    uncut : Polygon or None
        The printed area before holes and keep-outs were taken from it; None where there are none.
        With them, printed and safe area may have holes or fall in several parts.
    """

    trim: Polygon
    printed: Polygon | MultiPolygon
    safe: Polygon | MultiPolygon
    uncut: Polygon | None = None

    @property
    def image_bounds(self) -> tuple[float, float, float, float]:
        """Bounds of the printed area (mm), keep-outs at its edge or not: those of the films."""
        area = self.printed if self.uncut is None else self.uncut
        least_x, least_y, greatest_x, greatest_y = area.bounds
        return least_x, least_y, greatest_x, greatest_y


def topsheet_area(outline: BoardOutline, stage: PrintStage, *, bleed_mm: float,
                  safety_margin_mm: float, edge_margin_mm: float) -> TopsheetArea:
    """Offset the outline into the three areas.

    Parameters
    ----------
    outline : BoardOutline
        The board.
    stage : PrintStage
        ``sheet``: the flat topsheet is printed and trimmed after pressing; ``board``: the
        trimmed board is printed.
    bleed_mm, safety_margin_mm, edge_margin_mm : float
        Each at least 0 mm. A sheet uses bleed and safety margin; a board uses edge margin (0
        prints to the edge) and the greater of safety and edge margin.

    Raises
    ------
    InputProblem
        When a margin is negative or not finite, or leaves no single area.
    """
    margins = {"bleed": bleed_mm, "safety_margin": safety_margin_mm,
               "edge_margin": edge_margin_mm}
    for key, value in margins.items():
        if not (math.isfinite(value) and 0.0 <= value <= outline.length_mm):
            raise InputProblem(where=key, found=f"{value:g} mm", would_do="0 mm or more")
    trim = outline.polygon
    if stage == "sheet":
        return TopsheetArea(trim=trim, printed=offset_area(trim, bleed_mm, "bleed"),
                            safe=offset_area(trim, -safety_margin_mm, "safety_margin"))
    margin = max(safety_margin_mm, edge_margin_mm)
    return TopsheetArea(
        trim=trim, printed=offset_area(trim, -edge_margin_mm, "edge_margin"),
        safe=offset_area(trim, -margin, "safety_margin"))


def offset_area(area: Polygon, by_mm: float, key: str) -> Polygon:
    """The area grown (positive) or shrunk (negative) by ``by_mm``, with round corners.

    Arcs are drawn with a chord error below 0.005 mm.

    Raises
    ------
    InputProblem
        When nothing, or more than one piece, is left; it names ``key``.
    """
    if by_mm == 0.0:
        return area
    quarter_steps = math.ceil(math.pi / 2 / math.sqrt(8.0 * ARC_ERROR_MM / abs(by_mm)))
    grown: Polygon | MultiPolygon = area.buffer(by_mm, quad_segs=max(8, quarter_steps))
    if grown.is_empty or not isinstance(grown, Polygon):
        raise InputProblem(where=key, found=f"{abs(by_mm):g} mm",
                           would_do="a margin that leaves one area in the middle of the board")
    return grown
