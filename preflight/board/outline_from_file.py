"""A board's outline from whatever file the job names: a drawing, or a table of points."""

from __future__ import annotations

from pathlib import Path

from preflight.board.board_outline import BoardOutline
from preflight.board.outline_from_drawing import GAP_MM, READERS, read_drawing
from preflight.board.outline_from_points import read_points_table
from preflight.board.outline_in_frame import NoseEnd
from preflight.input_problem import InputProblem

#: Endings of drawings that cannot be read, and what to do about each.
_OTHER_DRAWINGS = {
    ".dwg": "the same drawing saved as DXF", ".svgz": "the same drawing unpacked to SVG",
    ".pdf": "the outline as DXF or SVG", ".ai": "the outline as DXF or SVG",
    ".eps": "the outline as DXF or SVG", ".step": "the outline as DXF or SVG",
    ".stp": "the outline as DXF or SVG", ".igs": "the outline as DXF or SVG",
    ".iges": "the outline as DXF or SVG"}


def read_outline_file(path: Path, *, unit: str | None = None, smooth: bool = False,
                      layer: str | None = None, gap_mm: float | None = None,
                      nose: NoseEnd | None = None) -> BoardOutline:
    """Read an outline by its file's ending: ``.dxf`` and ``.svg`` are drawings, others tables.

    Parameters
    ----------
    path : Path
        The file.
    unit : str or None
        Unit of the drawing or table; None takes the file's own word (mm for a table).
    smooth : bool
        For tables: lay a smooth curve through the points.
    layer : str or None
        For drawings: where the outline lies.
    gap_mm : float or None
        For drawings: gaps up to this (mm) are closed; None for 0.1 mm.
    nose : NoseEnd or None
        For drawings: which end is the nose; None for the wider one.

    Raises
    ------
    InputProblem
        When the file cannot be used, or a key is given that such a file has no use for.
    """
    ending = path.suffix.lower()
    if ending in _OTHER_DRAWINGS:
        raise InputProblem(where=str(path), found=f"a {ending[1:].upper()} file",
                           would_do=_OTHER_DRAWINGS[ending])
    if ending in READERS:
        if smooth:
            raise InputProblem(where=str(path), found="outline_smooth for a drawing",
                               would_do="a table of points, or a drawing without outline_smooth,")
        return read_drawing(path, unit=unit, layer=layer, nose=nose or "wider end",
                            gap_mm=GAP_MM if gap_mm is None else gap_mm)
    for key, value in (("outline_layer", layer), ("outline_gap", gap_mm), ("outline_nose", nose)):
        if value is not None:
            raise InputProblem(where=str(path), found=f"{key} for a table of points",
                               would_do="a drawing ending in .dxf or .svg")
    return read_points_table(path, unit=unit or "mm", smooth=smooth)
