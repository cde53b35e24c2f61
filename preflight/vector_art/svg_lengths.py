"""Lengths, number lists, transforms and the view box of an SVG, in its user units."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from svgelements import Matrix

from preflight.units import MM_PER_INCH, POINTS_PER_INCH

#: Source: CSS Values and Units, absolute lengths: 1 in = 96 px.
PX_PER_INCH = 96.0
_PX = {"": 1.0, "px": 1.0, "in": PX_PER_INCH, "mm": PX_PER_INCH / MM_PER_INCH,
       "cm": 10 * PX_PER_INCH / MM_PER_INCH, "pt": PX_PER_INCH / POINTS_PER_INCH, "pc": 16.0}
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*([a-zA-Z%]*)\s*")
#: No coordinate of sense is larger.
_MOST = 1e7


class SvgFault(ValueError):
    """A part of an SVG that cannot be read; the message says which."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Viewport:
    """An SVG's page.

    Attributes
    ----------
    width, height : float
        Its size in px (96 to the inch).
    page_of_user : NDArray of float64, shape (3, 3)
        From user units to px on the page.
    """

    width: float
    height: float
    page_of_user: NDArray[np.float64]


def length_px(text: str, whole: float = 0.0, em: float = 16.0) -> float:
    """A length in px: ``whole`` is what percentages are of, ``em`` the type size.

    Raises
    ------
    SvgFault
        When it is no finite length below 10⁷ px.
    """
    match = _LENGTH.fullmatch(text)
    unit = match[2].lower() if match else "?"
    scale = {"%": whole / 100, "em": em, "ex": em / 2} | _PX
    if match is None or unit not in scale:
        raise SvgFault(f"the length '{text[:40]}'")
    value = float(match[1]) * scale[unit]
    if not abs(value) < _MOST:
        raise SvgFault(f"the length '{text[:40]}'")
    return value


def numbers(text: str) -> list[float]:
    """The numbers of a list such as ``"0,0 10,5"``. Raises `SvgFault` where one is too large."""
    values = [float(found) for found in re.findall(_NUMBER, text)]
    if not all(abs(value) < _MOST for value in values):
        raise SvgFault(f"the numbers '{text[:40]}'")
    return values


def matrix_of(transform: str | None) -> NDArray[np.float64]:
    """A ``transform`` as a matrix (3, 3) of columns (x, y, 1). Raises `SvgFault`."""
    if not transform:
        return np.eye(3)
    try:
        matrix: Any = Matrix(transform)
        made = np.array([[matrix.a, matrix.c, matrix.e], [matrix.b, matrix.d, matrix.f],
                         [0, 0, 1]], float)
    except (ValueError, TypeError, IndexError, AttributeError):
        raise SvgFault(f"the transform '{transform[:40]}'") from None
    if not np.abs(made).max() < _MOST:
        raise SvgFault(f"the transform '{transform[:40]}'")
    return made


def viewport(attributes: Mapping[str, str]) -> Viewport:
    """The page that the root element describes.

    Notes
    -----
    Source: SVG 2, "viewBox" and "preserveAspectRatio"; ``slice`` is treated as ``meet``.
    """
    box = numbers(attributes.get("viewBox", ""))
    has_box = len(box) == 4 and box[2] > 0 and box[3] > 0
    across, down = (box[2], box[3]) if has_box else (0.0, 0.0)
    width = length_px(attributes.get("width", "100%"), across)
    height = length_px(attributes.get("height", "100%"), down)
    if not (width > 0 and height > 0):
        raise SvgFault("no 'viewBox' and no 'width' and 'height'")
    if not has_box:
        return Viewport(width=width, height=height, page_of_user=np.eye(3))
    scale_x, scale_y = width / across, height / down
    asked = attributes.get("preserveAspectRatio", "xMidYMid")
    shift_x = shift_y = 0.0
    if "none" not in asked:
        scale = min(scale_x, scale_y)
        share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
        align = re.search(r"x(Min|Mid|Max)Y(Min|Mid|Max)", asked)
        left, top = (share[align[1]], share[align[2]]) if align else (0.5, 0.5)
        shift_x, shift_y = left * (width - scale * across), top * (height - scale * down)
        scale_x = scale_y = scale
    return Viewport(width=width, height=height, page_of_user=np.array([
        [scale_x, 0, shift_x - scale_x * box[0]], [0, scale_y, shift_y - scale_y * box[1]],
        [0, 0, 1.0]]))


def largest_scale(matrix: NDArray[np.float64]) -> float:
    """How much a matrix (3, 3) stretches at most."""
    return float(np.linalg.svd(matrix[:2, :2], compute_uv=False)[0])


def is_flat(matrix: NDArray[np.float64]) -> bool:
    """Whether a matrix presses everything into a line or a point."""
    return math.isclose(abs(float(np.linalg.det(matrix[:2, :2]))), 0.0, abs_tol=1e-12)
