"""Lines and curves of an SVG drawing, walked element by element.

Nothing outside the file is ever fetched, entities are refused, and what a file may make us draw
is bounded: depth, elements, points.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple
from xml.etree.ElementTree import Element

import numpy as np
from svgelements import Matrix, Viewbox

from preflight.board.outline_pieces import (
    CHORD_ERROR_MM,
    DEEPEST_NESTING,
    MM_PER_UNIT,
    Allowance,
    Drawing,
    Piece,
    Points,
)
from preflight.board.svg_shapes import (
    PX_PER,
    PX_PER_INCH,
    ShapeFault,
    runs_of,
    written_length,
)
from preflight.files.svg_file import by_id, local_name, svg_root
from preflight.input_problem import InputProblem
from preflight.units import MM_PER_INCH

LARGEST_DRAWING_BYTES = 20_000_000
_UNITS = ("mm", "cm", "in", "m", "px", "pt")
_MM_PER_PX = MM_PER_INCH / PX_PER_INCH
_SHAPES = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})
_GROUPS = frozenset({"svg", "g", "a", "switch"})
_PHYSICAL = frozenset(PX_PER) - {"", "px"}
_MOVES = frozenset({"matrix", "translate", "translatex", "translatey", "scale", "scalex", "scaley",
                    "rotate", "skew", "skewx", "skewy"})
_CALLED = re.compile(r"([A-Za-z0-9]+)\s*\(")
_ASKED = "an SVG drawing of at most 20 MB"


class _Place(NamedTuple):
    """Where the walk is: the transform so far (3 × 3), names of groups, and depth."""

    transform: Points
    layers: tuple[str, ...]
    depth: int
    used: tuple[str, ...] = ()


class _Walk(NamedTuple):
    """What holds for the whole walk."""

    where: str
    named: dict[str, Element]
    allowance: Allowance


def read_svg(path: Path, *, unit: str | None = None) -> Drawing:
    """Read the shapes of a drawing, transforms and ``use`` carried out.

    Parameters
    ----------
    path : Path
        The drawing.
    unit : str or None
        What one user unit of the outermost ``viewBox`` is, as the job declares it: mm, cm, in,
        m, px (1/96 inch) or pt (1/72 inch); it wins over the file's width and height.

    Raises
    ------
    InputProblem
        When the file cannot be read, is no SVG, names entities or other files, holds itself, or
        holds more than can be an outline.
    """
    root = svg_root(path, would_do=_ASKED)
    where = str(path)
    try:
        to_mm, told, remarks = _unit(where, root, unit)
        walk = _Walk(where, by_id(root), Allowance(where=where))
        pieces = tuple(_pieces(walk, root, _Place(to_mm, (), 0)))
    except ShapeFault as fault:
        raise InputProblem(where=where, found=str(fault), would_do="a plain drawing of the board's "
                           "outline") from None
    return Drawing(pieces, float(abs(to_mm[0, 0])), told, _UNITS, remarks)


def _unit(where: str, root: Element, unit: str | None
          ) -> tuple[Points, str | None, tuple[str, ...]]:
    """User units to mm with y turned up, how that is known, and remarks."""
    width, height = (written_length(root.attrib[name]) if name in root.attrib else None
                     for name in ("width", "height"))
    physical = next((side for side in (width, height) if side and side.unit in _PHYSICAL), None)
    along = across = _MM_PER_PX
    box = _viewbox(root)
    if box is not None and physical is not None:
        # As large as fits in what is given; one side alone decides when the other is missing.
        fits = [side.px / extent for side, extent in ((width, box[2]), (height, box[3]))
                if side is not None and side.unit != "%"]
        uneven = root.attrib.get("preserveAspectRatio", "").strip() == "none" and len(fits) == 2
        along = _MM_PER_PX * (fits[0] if uneven else min(fits))
        across = _MM_PER_PX * fits[1] if uneven else along
    told = None if physical is None else f"its size is written in {physical.unit}"
    remarks: tuple[str, ...] = ()
    if unit is not None:
        if unit not in _UNITS:
            raise InputProblem(where=where, found=f"the unit '{unit}' for an SVG drawing",
                               would_do="one of " + ", ".join(_UNITS))
        mm = MM_PER_UNIT[unit]
        if physical is not None and abs(along / mm - 1.0) > 1e-6:
            remarks = (f"By the drawing's own size one unit of it is {along:.6g} mm; the job's "
                       f"outline_unit '{unit}' was taken.",)
        along = across = mm
        told = f"the job says {unit}"
    elif told is None:
        along = across = 1.0
    return np.diag([along, -across, 1.0]), told, remarks


def _viewbox(element: Element) -> tuple[float, float, float, float] | None:
    text = element.attrib.get("viewBox")
    if text is None:
        return None
    try:
        x, y, width, height = (float(part) for part in text.replace(",", " ").split())
    except ValueError:
        raise ShapeFault(f"{text[:40]!r} for a viewBox") from None
    if not (width > 0 and height > 0 and np.isfinite([x, y, width, height]).all()):
        raise ShapeFault(f"{text[:40]!r} for a viewBox")
    return x, y, width, height


def _pieces(walk: _Walk, element: Element, place: _Place) -> Iterator[Piece]:
    kind = local_name(element)
    if kind == "style" and "transform" in (element.text or ""):
        raise ShapeFault("a style sheet that moves shapes")
    if kind not in _GROUPS and kind not in _SHAPES and kind != "use":
        return
    walk.allowance.take_entities(1)
    style = _style(element)
    if "none" in (style.get("display"), element.attrib.get("display")):
        return
    if place.depth > DEEPEST_NESTING:
        raise ShapeFault(f"groups nested more than {DEEPEST_NESTING} deep")
    transform = place.transform @ _matrix(style.get("transform")
                                          or element.attrib.get("transform", ""))
    place = place._replace(transform=transform, layers=place.layers + _names(element),
                           depth=place.depth + 1)
    if kind in _SHAPES:
        yield from _shape(walk, kind, element, place)
    elif kind == "use":
        yield from _used(walk, element, place)
    else:
        if kind == "svg" and place.depth > 1:
            place = place._replace(transform=transform @ _inner_viewport(element, element))
        for child in element:
            yield from _pieces(walk, child, place)


def _shape(walk: _Walk, kind: str, element: Element, place: _Place) -> Iterator[Piece]:
    linear = place.transform[:2, :2]
    stretch = float(np.linalg.norm(linear, 2))
    if not np.isfinite(stretch):
        raise ShapeFault("a transform far out of range")
    if stretch == 0.0:
        return
    for run in runs_of(kind, element.attrib, CHORD_ERROR_MM / stretch, walk.allowance):
        points = run.points @ linear.T + place.transform[:2, 2]
        yield Piece(points, run.closed, place.layers or ("",))


def _used(walk: _Walk, element: Element, place: _Place) -> Iterator[Piece]:
    """What a ``use`` points at, moved; a ``symbol`` has its own view box."""
    href = next((value for name, value in element.attrib.items() if _local(name) == "href"), "")
    if not href.startswith("#"):
        raise ShapeFault("a 'use' of something outside the file")
    name = href[1:]
    target = walk.named.get(name)
    if target is None:
        return
    if name in place.used:
        raise ShapeFault(f"a 'use' of {name[:40]!r} within itself")
    moved = place.transform @ _shift(element)
    place = place._replace(transform=moved, used=(*place.used, name))
    if local_name(target) != "symbol":
        yield from _pieces(walk, target, place)
        return
    place = place._replace(transform=moved @ _matrix(target.attrib.get("transform", ""))
                           @ _inner_viewport(target, element))
    for child in target:
        yield from _pieces(walk, child, place)


def _shift(element: Element) -> Points:
    shift = np.eye(3)
    shift[:2, 2] = [written_length(element.attrib.get(axis, "0")).px for axis in ("x", "y")]
    return shift


def _inner_viewport(viewport: Element, sized: Element) -> Points:
    """The transform into an inner ``svg`` or a ``symbol``, whose size may stand on its ``use``."""
    box = _viewbox(viewport)
    shift = _shift(viewport) if local_name(viewport) == "svg" else np.eye(3)
    if box is None:
        return shift
    width, height = (sized.attrib.get(name, viewport.attrib.get(name))
                     for name in ("width", "height"))
    if width is None or height is None:
        raise ShapeFault("an inner view box without width and height")
    text = Viewbox.viewbox_transform(0.0, 0.0, written_length(width).px, written_length(height).px,
                                     *box, viewport.attrib.get("preserveAspectRatio"))
    return shift @ _matrix(text)


def _matrix(text: str) -> Points:
    if not text.strip() or text.strip() == "none":
        return np.eye(3)
    called = {name.lower() for name in _CALLED.findall(text)}
    if not called or called - _MOVES:
        raise ShapeFault(f"the transform {text[:40]!r}")
    try:
        read = Matrix(text)
        read.render(ppi=PX_PER_INCH)
        values = np.array([float(v) for v in (read.a, read.b, read.c, read.d, read.e, read.f)])
    except Exception as fault:  # a damaged one makes its reader raise anything
        raise ShapeFault(f"the transform {text[:40]!r} ({type(fault).__name__})") from None
    if not np.isfinite(values).all():
        raise ShapeFault(f"the transform {text[:40]!r}")
    a, b, c, d, e, f = values
    return np.array([[a, c, e], [b, d, f], [0.0, 0.0, 1.0]])


def _style(element: Element) -> dict[str, str]:
    pairs = (part.split(":", 1) for part in element.attrib.get("style", "").split(";")
             if ":" in part)
    return {name.strip().lower(): value.strip() for name, value in pairs}


def _names(element: Element) -> tuple[str, ...]:
    """The names an element can be asked for by: its id, and the label of a layer."""
    return tuple(value for name, value in element.attrib.items()
                 if _local(name) in ("id", "label") and value)


def _local(name: object) -> str:
    return name.rsplit("}", 1)[-1] if isinstance(name, str) else ""
