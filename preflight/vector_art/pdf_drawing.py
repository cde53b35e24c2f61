"""A page of a PDF as painted areas in board mm, in the order in which they are painted."""

from __future__ import annotations

import ctypes
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preflight.board.area_mask import Area
from preflight.files.pdf_file import PdfPage
from preflight.files.pdfium_door import pdfium_page
from preflight.input_problem import InputProblem
from preflight.vector_art.flattening import Subpath, bezier
from preflight.vector_art.point_budget import PointBudget, need_few_meetings
from preflight.vector_art.ring_area import as_area, ring_area
from preflight.vector_art.strokes import Pen, stroke_area
from preflight.vector_art.svg_drawing import TOLERANCE_MM, Painted, on_board
from preflight.vector_art.svg_lengths import SvgFault, is_flat, largest_scale

Matrix = NDArray[np.float64]
#: Limit of mitred corners where a page sets none. Source: ISO 32000-1, table 52.
_MITER_LIMIT = 10.0
_MOST_OBJECTS, _MOST_DEPTH = 200_000, 30
_INVISIBLE_TEXT = 3
_CAPS, _JOINS = ("butt", "round", "square"), ("miter", "round", "bevel")


def painted_page(page: PdfPage, board_of_page: Matrix) -> tuple[Painted, ...]:
    """Draw a page's paths on the board, bottom first.

    Parameters
    ----------
    page : PdfPage
        The page, its spot colours marked; these are painted in the colour of their name.
    board_of_page : NDArray of float64, shape (3, 3)
        From points on the page, right and down from its top left corner, to board mm.

    Raises
    ------
    InputProblem
        When it holds what is no path in a plain colour, or there is too much of it.
    """
    import pypdfium2.raw as pdfium

    for is_there, found in ((page.contents.has_patterns, "a pattern or gradient"),
                            (page.contents.has_layers, "layers, some of which may be hidden")):
        if is_there:
            raise _problem(page, SvgFault(found))
    walk = _Walk(page=page, raw=pdfium)
    to_board = board_of_page @ page.shown_of_user
    with pdfium_page(page.path, page.data, page.number) as opened:
        try:
            count = pdfium.FPDFPage_CountObjects(opened)
            walk.objects((pdfium.FPDFPage_GetObject(opened, n) for n in range(count)), to_board,
                         on_board(page.shown, board_of_page), 0)
        except SvgFault as fault:
            raise _problem(page, fault) from None
    return tuple(walk.made)


def _problem(page: PdfPage, fault: SvgFault) -> InputProblem:
    return InputProblem(where=str(page.path), found=str(fault),
                        would_do="a page of plain paths, or the page as a photo,")


@dataclass(kw_only=True, slots=True)
class _Walk:
    """Goes through a page's objects and gathers what is painted."""

    page: PdfPage
    raw: Any
    made: list[Painted] = field(default_factory=list)
    budget: PointBudget = field(default_factory=PointBudget)
    seen: int = 0

    def objects(self, objects: Iterator[Any], matrix: Matrix, clip: Area, depth: int) -> None:
        """Draw objects whose coordinates the matrix takes to the board, within a clip."""
        if depth > _MOST_DEPTH:
            raise SvgFault("too many levels of forms")
        raw = self.raw
        for one in objects:
            self.seen += 1
            if self.seen > _MOST_OBJECTS:
                raise SvgFault(f"more than {_MOST_OBJECTS:,} objects")
            kind = raw.FPDFPageObj_GetType(one)
            if kind == raw.FPDF_PAGEOBJ_TEXT and (
                    raw.FPDFTextObj_GetTextRenderMode(one) == _INVISIBLE_TEXT):
                continue
            if kind not in (raw.FPDF_PAGEOBJ_PATH, raw.FPDF_PAGEOBJ_FORM):
                raise SvgFault({raw.FPDF_PAGEOBJ_TEXT: "text that is not turned into outlines",
                                raw.FPDF_PAGEOBJ_IMAGE: "a picture"}.get(kind, "a gradient"))
            if raw.FPDFPageObj_HasTransparency(one):
                raise SvgFault("a part that is transparent")
            within = self._clip(one, matrix, clip)
            if within.is_empty:
                continue
            if kind == raw.FPDF_PAGEOBJ_FORM:
                count = raw.FPDFFormObj_CountObjects(one)
                self.objects((raw.FPDFFormObj_GetObject(one, n) for n in range(count)),
                             matrix @ self._matrix(one), within, depth + 1)
            else:
                self._path(one, matrix @ self._matrix(one), within)

    def _matrix(self, one: Any) -> Matrix:
        told = self.raw.FS_MATRIX()
        if not self.raw.FPDFPageObj_GetMatrix(one, told):
            return np.eye(3)
        return np.array([[told.a, told.c, told.e], [told.b, told.d, told.f], [0, 0, 1.0]])

    def _path(self, one: Any, matrix: Matrix, clip: Area) -> None:
        if is_flat(matrix):
            return
        raw, tolerance = self.raw, TOLERANCE_MM / largest_scale(matrix)
        rule, stroked = ctypes.c_int(), ctypes.c_int()
        raw.FPDFPath_GetDrawMode(one, rule, stroked)
        subpaths = _subpaths(raw, raw.FPDFPath_CountSegments(one),
                             lambda n: raw.FPDFPath_GetPathSegment(one, n), tolerance)
        self.budget.take(sum(len(subpath.points) for subpath in subpaths))
        if rule.value:
            evenodd = rule.value == raw.FPDF_FILLMODE_ALTERNATE
            self._paint(ring_area([subpath.points for subpath in subpaths],
                                  "evenodd" if evenodd else "nonzero"),
                        self._colour(one, raw.FPDFPageObj_GetFillColor), matrix, clip)
        if stroked.value:
            self._paint(stroke_area(subpaths, self._pen(one), tolerance, self.budget),
                        self._colour(one, raw.FPDFPageObj_GetStrokeColor), matrix, clip)

    def _paint(self, area: Area, colour: str, matrix: Matrix, clip: Area) -> None:
        placed = on_board(area, matrix)
        if not clip.covers(placed):
            need_few_meetings(placed, clip)
            placed = as_area(placed.intersection(clip))
        if not placed.is_empty:
            self.made.append(Painted(colour=colour, area=placed))

    def _colour(self, one: Any, get: Callable[..., Any]) -> str:
        """The colour, or the name of the spot colour."""
        red, green, blue, alpha = (ctypes.c_uint() for _ in range(4))
        if not get(one, red, green, blue, alpha):
            raise SvgFault("a part without a plain colour")
        name = self.page.spots.get((green.value, blue.value))
        if name is None:
            return f"#{red.value:02x}{green.value:02x}{blue.value:02x}"
        if red.value == 255:
            return "#ffffff"
        if red.value:
            raise SvgFault(f"{100 - red.value / 2.55:.0f} % of the spot colour {name!r}; tints are "
                           "given in the job")
        return name

    def _pen(self, one: Any) -> Pen:
        raw, width, start = self.raw, ctypes.c_float(), ctypes.c_float()
        raw.FPDFPageObj_GetStrokeWidth(one, width)
        if not width.value > 0:
            raise SvgFault("a line of width 0, which is as wide as each device likes")
        count = min(raw.FPDFPageObj_GetDashCount(one), 100)
        dashes = (ctypes.c_float * max(count, 1))()
        if count:
            raw.FPDFPageObj_GetDashArray(one, dashes, count)
            raw.FPDFPageObj_GetDashPhase(one, start)
        told = tuple(float(value) for value in dashes[:count])
        cap, join = raw.FPDFPageObj_GetLineCap(one), raw.FPDFPageObj_GetLineJoin(one)
        return Pen(width=float(width.value), miter_limit=_MITER_LIMIT,
                   cap=_CAPS[cap if 0 <= cap < 3 else 0],  # type: ignore[arg-type]
                   join=_JOINS[join if 0 <= join < 3 else 0],  # type: ignore[arg-type]
                   dashes=told if sum(told) > 0 and min(told) >= 0 else (),
                   dash_start=float(start.value))

    def _clip(self, one: Any, matrix: Matrix, clip: Area) -> Area:
        raw = self.raw
        told = raw.FPDFPageObj_GetClipPath(one)
        if not told:
            return clip
        for number in range(max(0, raw.FPDFClipPath_CountPaths(told))):
            subpaths = _subpaths(
                raw, raw.FPDFClipPath_CountPathSegments(told, number),
                partial(raw.FPDFClipPath_GetPathSegment, told, number),
                TOLERANCE_MM / max(largest_scale(matrix), 1e-9))
            self.budget.take(sum(len(subpath.points) for subpath in subpaths))
            area = on_board(ring_area([subpath.points for subpath in subpaths]), matrix)
            if not area.covers(clip):
                need_few_meetings(area, clip)
                clip = as_area(clip.intersection(area))
        return clip


def _subpaths(raw: Any, count: int, segment: Callable[[int], Any],
              tolerance: float) -> list[Subpath]:
    """Lines of a path, its curves followed."""
    found: list[Subpath] = []
    line: list[NDArray[np.float64]] = []

    def end(closed: bool) -> None:
        points = np.vstack(line) if line else np.empty((0, 2))
        if closed and len(points) > 1 and (points[0] == points[-1]).all():
            points = points[:-1]
        if len(points) > 1 and np.isfinite(points).all():
            found.append(Subpath(points=points, closed=closed))
        line.clear()

    number = 0
    while number < count:
        parts = [segment(number)]
        kind = raw.FPDFPathSegment_GetType(parts[0])
        if kind == raw.FPDF_SEGMENT_MOVETO:
            end(closed=False)
        elif kind == raw.FPDF_SEGMENT_BEZIERTO:
            parts = [segment(n) for n in range(number, min(number + 3, count))]
        corners = np.array([_point(raw, part) for part in parts])
        if kind == raw.FPDF_SEGMENT_BEZIERTO and line and len(corners) == 3:
            line.append(bezier(np.vstack([line[-1][-1:], corners]), tolerance))
        else:
            line.append(corners[-1:])
        number += len(parts)
        if raw.FPDFPathSegment_GetClose(parts[-1]):
            first = line[0][:1]
            end(closed=True)
            line.append(first)  # what follows without a new start begins where this did
    end(closed=False)
    return found


def _point(raw: Any, segment: Any) -> tuple[float, float]:
    x, y = ctypes.c_float(), ctypes.c_float()
    raw.FPDFPathSegment_GetPoint(segment, x, y)
    return x.value, y.value

