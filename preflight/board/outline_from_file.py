"""A board's outline from whatever file the job names: a drawing, or a table of points."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from preflight.board.board_outline import LONGEST_BOARD_MM, SHORTEST_BOARD_MM, BoardOutline
from preflight.board.outline_choice import chosen_ring, longest_mm, on_layer, open_dwarfs_closed
from preflight.board.outline_from_points import read_points_table
from preflight.board.outline_from_svg import read_svg
from preflight.board.outline_in_frame import NoseEnd, in_board_frame
from preflight.board.outline_pieces import MM_PER_UNIT, Drawing, Piece, Points
from preflight.board.outline_rings import chain_pieces
from preflight.input_problem import InputProblem


def _read_dxf(path: Path, *, unit: str | None = None) -> Drawing:
    """A DXF drawing; the library that reads it is loaded when one comes."""
    from preflight.board.outline_from_dxf import read_dxf

    return read_dxf(path, unit=unit)


READERS = {".dxf": _read_dxf, ".svg": read_svg}
#: Gaps up to this (mm) are closed unless the job says otherwise: ten times what rounding to
#: hundredths leaves, far below what a knife follows. Own rule.
GAP_MM = 0.1
#: Boards are mostly between these lengths (mm): units that make such a length are offered first.
#: Common practice, no source.
_USUAL_MM = (700.0, 2200.0)
#: No unit makes a board of coordinates beyond this (mm).
_GREATEST_MM = 1e12


def read_drawing(path: Path, *, unit: str | None = None, layer: str | None = None,
                 gap_mm: float = GAP_MM, nose: NoseEnd = "wider end") -> BoardOutline:
    """Read the board's outline from a drawing.

    Parameters
    ----------
    path : Path
        Ending in ``.dxf`` or ``.svg``, as it is seen from the printed side.
    unit : str or None
        What one unit of the drawing is (mm, cm, in, m; px or pt for SVG); None takes the file's
        own word.
    layer : str or None
        Layer (DXF), or group's or shape's id or label (SVG), that holds the outline; None takes
        the largest closed ring of all.
    gap_mm : float
        Gaps up to this (mm, at least 0) are closed.
    nose : NoseEnd
        Which end of the drawing is the nose.

    Returns
    -------
    BoardOutline
        In the board frame; chords stray from the drawing's curves by less than 0.005 mm.
        ``remarks`` tell what was taken and done.

    Raises
    ------
    InputProblem
        When the file cannot be read, its unit is unknown or cannot be right, or no one ring in
        it is the board.
    """
    where = str(path)
    drawing = _read_within_bounds(path, unit)
    pieces = on_layer(drawing.pieces, layer, where)
    _need_scale(where, pieces, drawing)
    chained = chain_pieces(pieces, gap_mm, where)
    ring, remarks = chosen_ring(chained, layer, gap_mm, where, mm_told=drawing.mm_per_unit)
    points, turned = in_board_frame(_without_repeats(ring.points), nose, where)
    outline = BoardOutline(ring_mm=points, remarks=(
        f"{path.name}: the outline is {np.ptp(points[:, 0]):.2f} × {np.ptp(points[:, 1]):.2f} mm; "
        f"{drawing.unit_told}.", *drawing.remarks, *remarks, *turned))
    if not SHORTEST_BOARD_MM <= outline.length_mm <= LONGEST_BOARD_MM:
        _refuse_scale(where, outline.length_mm, drawing)
    return outline


def _read_within_bounds(path: Path, unit: str | None) -> Drawing:
    """The drawing, its numbers such that their squares are numbers too."""
    try:
        with np.errstate(over="raise", invalid="raise"):
            drawing = READERS[path.suffix.lower()](path, unit=unit)
        sound = all((np.abs(piece.points) <= _GREATEST_MM).all() for piece in drawing.pieces)
    except ArithmeticError:
        sound = False
    if not sound:
        raise InputProblem(where=str(path), found="coordinates far out of range",
                           would_do="a drawing of the board's outline")
    return drawing


def _need_scale(where: str, pieces: tuple[Piece, ...], drawing: Drawing) -> None:
    """Refuse a drawing in the wrong unit, or in none, before its gaps are judged in mm."""
    extent = _extent_mm(pieces)
    chained = chain_pieces(pieces, GAP_MM * extent / LONGEST_BOARD_MM, where)
    # Where holes are all that closes, the board is what stayed open.
    rings = () if open_dwarfs_closed(chained) else chained.rings
    longest = max((longest_mm(ring) for ring in rings), default=extent)
    if drawing.unit_told is None or longest < SHORTEST_BOARD_MM or (
            rings and longest > 2 * LONGEST_BOARD_MM):
        _refuse_scale(where, longest, drawing)


def _extent_mm(pieces: tuple[Piece, ...]) -> float:
    """The longer side of the box round all pieces (mm)."""
    least = np.min([piece.points.min(axis=0) for piece in pieces], axis=0)
    most = np.max([piece.points.max(axis=0) for piece in pieces], axis=0)
    return float((most - least).max())


def _without_repeats(ring: Points) -> Points:
    step = np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1)
    kept: Points = ring[step > 0.0]
    return kept


def _refuse_scale(where: str, length_mm: float, drawing: Drawing) -> None:
    """Say which unit would make a board of the drawing."""
    units = length_mm / drawing.mm_per_unit
    lengths = {name: units * MM_PER_UNIT[name] for name in drawing.units}
    for least, most in (_USUAL_MM, (SHORTEST_BOARD_MM, LONGEST_BOARD_MM)):
        fits = [f"outline_unit = \"{name}\" ({_told(length)} mm)"
                for name, length in lengths.items() if least <= length <= most]
        if fits:
            break
    told = (f"a drawing {_told(units)} units long that does not say its unit"
            if drawing.unit_told is None else
            f"a board {_told(length_mm)} mm long ({drawing.unit_told})")
    raise InputProblem(where=where, found=told, would_do=" or ".join(fits) or (
        f"a board of {SHORTEST_BOARD_MM:g} to {LONGEST_BOARD_MM:g} mm, drawn 1:1,"))


def _told(length: float) -> str:
    """Four figures, without an exponent."""
    return f"{float(f'{length:.4g}'):.10g}"


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
