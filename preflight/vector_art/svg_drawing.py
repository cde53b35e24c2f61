"""An SVG drawing as painted areas in board mm, in the order in which they are painted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from xml.etree.ElementTree import Element

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon, affinity, intersection, union_all

from preflight.board.area_mask import Area
from preflight.files.svg_file import by_id, local_name
from preflight.input_problem import InputProblem
from preflight.vector_art.lettering import Letters, SetLetter, letters_through
from preflight.vector_art.point_budget import PointBudget, need_few_meetings, points_of
from preflight.vector_art.ring_area import as_area, ring_area
from preflight.vector_art.strokes import Pen, stroke_area
from preflight.vector_art.svg_geometry import SHAPES, subpaths_of
from preflight.vector_art.svg_lengths import (
    SvgFault,
    Viewport,
    is_flat,
    largest_scale,
    length_px,
    matrix_of,
    numbers,
    viewport,
)
from preflight.vector_art.svg_source import read_svg, target_of
from preflight.vector_art.svg_style import (
    Style,
    StyleSheet,
    colour_of,
    first_style,
    style_of,
    style_sheet,
)

#: How near curves are followed on the board (mm): a twentieth of a film pixel at 1440 dpi.
TOLERANCE_MM = 0.001
#: What a letter counts for, set or not: about its corners.
_CORNERS_OF_A_LETTER = 60
_GROUPS = {"svg", "g", "a", "switch"}
_IGNORED = {"", "defs", "symbol", "title", "desc", "metadata", "style", "clipPath", "script",
            "namedview", "linearGradient", "radialGradient", "marker", "pattern", "filter",
            "mask"}

Matrix = NDArray[np.float64]
#: Sets an SVG's text element in letters: element, style, in user units.
SetText = Callable[[Element, Style], Letters]


@dataclass(frozen=True, slots=True, kw_only=True)
class Painted:
    """One stroke or fill.

    Attributes
    ----------
    colour : str
        Its own colour, ``#rrggbb``.
    area : Polygon or MultiPolygon
        In board mm.
    letters : tuple of SetLetter
        The letters that it fills, if it fills any.
    """

    colour: str
    area: Area
    letters: tuple[SetLetter, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SvgDrawing:
    """An SVG file, read and bounded, not yet drawn."""

    path: Path
    root: Element = field(repr=False)
    page: Viewport


def open_drawing(path: Path) -> SvgDrawing:
    """Read an SVG file. Raises `InputProblem` as `read_svg` does, and where it has no page."""
    root = read_svg(path)
    try:
        return SvgDrawing(path=path, root=root, page=viewport(root.attrib))
    except SvgFault as fault:
        raise _problem(path, fault) from None


def painted(
    drawing: SvgDrawing, board_of_page: Matrix, set_text: SetText
) -> tuple[tuple[Painted, ...], tuple[str, ...]]:
    """Draw an SVG on the board.

    Parameters
    ----------
    drawing : SvgDrawing
        The file.
    board_of_page : NDArray of float64, shape (3, 3)
        From px on the drawing's page to board mm.
    set_text : callable
        Turns a text element into its letters in user units.

    Returns
    -------
    painted : tuple of Painted
        Bottom first.
    remarks : tuple of str
        What the drawing asks for and was not done, one sentence each.

    Raises
    ------
    InputProblem
        When a part cannot be read, has no plain colour, or there is too much of it.
    """
    walk = _Walk(drawing=drawing, set_text=set_text, sheet=style_sheet(drawing.root),
                 named=by_id(drawing.root))
    if walk.sheet.left_out:
        walk.remark("Style rules other than a name, a class or an id are not read.")
    try:
        walk.children(drawing.root, first_style(), board_of_page @ drawing.page.page_of_user, None)
    except SvgFault as fault:
        raise _problem(drawing.path, fault) from None
    return tuple(walk.made), tuple(walk.remarks)


def _problem(path: Path, fault: SvgFault) -> InputProblem:
    return InputProblem(where=str(path), found=str(fault), would_do="an SVG of plain shapes")


@dataclass(kw_only=True, slots=True)
class _Walk:
    """Goes through the drawing and gathers what is painted."""

    drawing: SvgDrawing
    set_text: SetText
    sheet: StyleSheet
    named: dict[str, Element]
    made: list[Painted] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    budget: PointBudget = field(default_factory=PointBudget)
    clips: dict[tuple[str, bytes], Area] = field(default_factory=dict)

    def remark(self, sentence: str) -> None:
        if sentence not in self.remarks:
            self.remarks.append(sentence)

    def children(self, element: Element, above: Style, matrix: Matrix, clip: Area | None) -> None:
        style = style_of(element, above, self.sheet)
        for child in element:
            self.draw(child, style, matrix, clip)

    def draw(self, element: Element, above: Style, matrix: Matrix, clip: Area | None) -> None:
        name = local_name(element)
        if name in _IGNORED:
            return
        style = style_of(element, above, self.sheet)
        matrix = matrix @ matrix_of(element.get("transform"))
        if style["display"] == "none" or style["opacity"] in ("0", "0%") or is_flat(matrix):
            return
        if style["mask"] != "none" or style["filter"] != "none":
            self.remark("Masks and filters in it are not applied; what they change prints whole.")
        clip = self._clip(style, matrix, clip)
        if name in _GROUPS:
            for child in element:
                self.draw(child, style, matrix, clip)
        elif name == "use":
            self._use(element, style, matrix, clip)
        elif name in SHAPES:
            self._paint(style, matrix, clip, lambda: self._shape(element, style, matrix))
        elif name == "text":
            self.remark("Its text is set in the job's font, whatever font it names.")
            self._paint(style, matrix, clip, lambda: self._text(element, style, matrix))
        else:
            self.remark(f"<{name[:40]}> in it is not drawn.")

    def _use(self, element: Element, style: Style, matrix: Matrix, clip: Area | None) -> None:
        target = self.named.get(target_of(element))
        if target is None:
            self.remark("A <use> in it refers to nothing in the same file and is left out.")
            return
        shift = np.eye(3)
        shift[:2, 2] = [length_px(element.get(key, "0"), whole) for key, whole in
                        zip("xy", (self.drawing.page.width, self.drawing.page.height),
                            strict=True)]
        if local_name(target) == "symbol":
            self.children(target, style, matrix @ shift, clip)
        else:
            self.draw(target, style, matrix @ shift, clip)

    def _paint(self, style: Style, matrix: Matrix, clip: Area | None,
               areas: Callable[[], tuple[Area, Area, tuple[SetLetter, ...]]]) -> None:
        if style["visibility"] != "visible":
            return
        colours = [self._colour(style, kind) for kind in ("fill", "stroke")]
        if colours == [None, None]:
            return
        fill, stroke, letters = areas()
        for colour, area, set_in in zip(colours, (fill, stroke), (letters, ()), strict=True):
            placed = on_board(area, matrix)
            if clip is not None:
                placed = self._within(placed, clip)
            if colour is not None and not placed.is_empty:
                self.made.append(Painted(colour=colour, area=placed,
                                         letters=letters_through(set_in, matrix)))

    def _colour(self, style: Style, kind: str) -> str | None:
        opacities = {style[f"{kind}-opacity"], style["opacity"]}
        if opacities & {"0", "0%"}:
            return None
        if opacities - {"1", "1.0", "100%"}:
            self.remark("Opacities in it are not applied; a tint is given in the job.")
        try:
            return colour_of(style[kind], style)
        except ValueError:
            raise SvgFault(f"the {kind} '{style[kind][:40]}', which is not a plain "
                           "colour") from None

    def _shape(self, element: Element, style: Style,
               matrix: Matrix) -> tuple[Area, Area, tuple[SetLetter, ...]]:
        page = self.drawing.page
        tolerance = TOLERANCE_MM / largest_scale(matrix)
        subpaths = subpaths_of(element, (page.width, page.height), tolerance)
        self.budget.take(sum(len(subpath.points) for subpath in subpaths))
        fill: Area = Polygon()
        if style["fill"] != "none" and local_name(element) != "line":
            fill = ring_area([subpath.points for subpath in subpaths],
                             "evenodd" if style["fill-rule"] == "evenodd" else "nonzero")
        stroke = Polygon() if style["stroke"] == "none" else stroke_area(
            subpaths, pen_of(style, page), tolerance, self.budget)
        return fill, stroke, ()

    def _text(self, element: Element, style: Style,
              matrix: Matrix) -> tuple[Area, Area, tuple[SetLetter, ...]]:
        self.budget.take(_CORNERS_OF_A_LETTER * sum(map(len, element.itertext())))
        letters = self.set_text(element, style)
        fill = letters.area
        if style["stroke"] == "none":
            return fill, Polygon(), letters.each
        width = length_px(style["stroke-width"]) / 2
        edge = union_all([part.boundary for part in getattr(fill, "geoms", [fill])])
        inked = as_area(edge.buffer(width, quad_segs=max(8, int(largest_scale(matrix)))))
        return fill, inked, letters.each

    def _clip(self, style: Style, matrix: Matrix, clip: Area | None) -> Area | None:
        name = style["clip-path"].removeprefix("url(").strip(")\"' ").removeprefix("#")
        target = self.named.get(name)
        if target is None or local_name(target) != "clipPath":
            return clip
        if target.get("clipPathUnits") == "objectBoundingBox":
            self.remark("Clips measured by what they clip are not applied.")
            return clip
        inside = self._clip_area(name, target, matrix)
        return inside if clip is None else self._within(inside, clip)

    def _within(self, area: Area, clip: Area) -> Area:
        """What of an area a clip lets through."""
        need_few_meetings(area, clip)
        both = as_area(intersection(area, clip))
        self.budget.take(points_of([both]))
        return both

    def _clip_area(self, name: str, target: Element, matrix: Matrix) -> Area:
        """What a clip lets through, made once for each place that it is used at."""
        key = name, matrix.tobytes()
        if key not in self.clips:
            inner = _Walk(drawing=self.drawing, set_text=self.set_text, sheet=self.sheet, named={},
                          budget=self.budget)
            plain = first_style() | {"fill": "black"}
            for child in target:
                rule = style_of(child, plain, self.sheet)["clip-rule"]
                inner.draw(child, plain | {"fill-rule": rule}, matrix, None)
            self.clips[key] = as_area(union_all([one.area for one in inner.made]))
        return self.clips[key]


def on_board(area: Area, matrix: Matrix) -> Area:
    """An area through a matrix (3, 3)."""
    (a, b, x), (c, d, y), _ = matrix
    moved: Area = affinity.affine_transform(area, [a, b, c, d, x, y])
    return moved


def pen_of(style: Style, page: Viewport) -> Pen:
    """The pen that a style describes; its faults are `SvgFault`."""
    cap, join = style["stroke-linecap"], style["stroke-linejoin"]
    told = numbers(style["stroke-dasharray"]) if style["stroke-dasharray"] != "none" else []
    dashes = () if any(value < 0 for value in told) else tuple(told)
    diagonal = float(np.hypot(page.width, page.height) / np.sqrt(2))
    return Pen(
        width=length_px(style["stroke-width"], diagonal),
        cap=cap if cap in ("round", "square") else "butt",  # type: ignore[arg-type]
        join=join if join in ("round", "bevel") else "miter",  # type: ignore[arg-type]
        miter_limit=max(1.0, (numbers(style["stroke-miterlimit"]) or [4.0])[0]), dashes=dashes,
        dash_start=length_px(style["stroke-dashoffset"], diagonal))
