"""A picture of where a photograph's detail is worth its pixels: the photo, and a map beneath it."""

from __future__ import annotations

import base64
from html import escape

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely import get_parts
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from preflight.checks import limits
from preflight.facts.submission import Submission
from preflight.photo_quality.photo_facts import PhotoFacts
from preflight.units import MM_PER_INCH
from separations.proof.shown_pictures import ReportPicture

_WASTE, _LEAST, _ADVISED = (limits.TRUE_PIXELS_TO_WASTE.value, limits.TRUE_PIXELS.value,
                            limits.TRUE_PIXELS_ADVISED.value)
#: True pixels for each line from which a colour holds: dark is soft, whatever the eye for hue.
_CLASSES = ((0.0, "#6b1f2a"), (_WASTE, "#c1693c"), (_LEAST, "#ecd08c"),
            (_ADVISED, "#a9cbc0"), (2 * _ADVISED, "#5d958a"))
_UNTOLD = "#e9e7e1"
_INK = "#1d2523"
#: Edge and lettering as shares of the board's length: legible where it is 360 pixels wide.
_EDGE, _LETTERS = 0.02, 0.04


def true_pixel_pictures(submission: Submission) -> tuple[ReportPicture, ...]:
    """One picture for each photograph that has detail to tell by."""
    return tuple(_picture(submission, photo) for photo in submission.photos
                 if np.isfinite(photo.true_ppi_map).any())


def _picture(submission: Submission, photo: PhotoFacts) -> ReportPicture:
    lpi = photo.cell_ruling_lpcm * MM_PER_INCH / 10
    known = photo.true_ppi_map[np.isfinite(photo.true_ppi_map)]
    soft = float(np.mean(known < _LEAST * lpi)) * 100
    worth = "" if photo.true_ppi is None else f" As a whole it is worth {photo.true_ppi:.0f}."
    return ReportPicture(
        title=f"True pixels of {photo.file}",
        alt=f"The photo on the board, and a map of it in tiles: {soft:.0f} % of the tiles with "
            "detail hold fewer true pixels than the halftone asks for",
        caption="Nose to the right. Above the photo, below its true pixels per inch, tile by tile, "
                f"each judged where it has most detail; nominal are {photo.ppi:.0f}.{worth} "
                f"{soft:.0f} % of the tiles hold fewer than {_LEAST * lpi:.0f}. A tile may "
                "be soft because the scene is: sky, mist, what is out of focus.",
        data=_svg(submission.area.printed, photo, lpi).encode("utf-8"),
        media_type="image/svg+xml")


def _svg(printed: Polygon, photo: PhotoFacts, lpi: float) -> str:
    left, lower, right, upper = printed.bounds
    long, wide = right - left, upper - lower
    edge, letters = _EDGE * long, _LETTERS * long
    below = wide + edge
    clip = _path(printed)
    outline = f'<path d="{clip}" fill="none" stroke="{_INK}" stroke-width="{long / 400:.2f}"/>'

    def board(inside: str, down: float) -> str:
        # Board millimetres, y turned to run down.
        return (f'<g transform="translate({-left:.3f} {upper + down:.3f}) scale(1 -1)">'
                f'<g clip-path="url(#printed)">{inside}</g>{outline}</g>')

    legend, height = _legend(lpi, long, letters)
    top = below + wide + edge
    view = f"{-edge:.1f} {-edge:.1f} {long + 2 * edge:.1f} {top + height + 2 * edge:.1f}"
    return (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view}" role="img" '
            f'font-family="sans-serif" font-size="{letters:.1f}" fill="{_INK}">'
            f"<title>{escape(f'True pixels of {photo.file}')}</title>"
            f'<clipPath id="printed"><path d="{clip}"/></clipPath>'
            + board(_preview(photo), 0.0) + board(_tiles(photo, lpi), below)
            + f'<g transform="translate(0 {top:.1f})">{legend}</g></svg>')


def _preview(photo: PhotoFacts) -> str:
    """The photograph where it lies, small."""
    rows, columns = photo.preview.shape[:2]
    coded = cv2.imencode(".jpg", np.ascontiguousarray(photo.preview[:, :, ::-1]),
                         [cv2.IMWRITE_JPEG_QUALITY, 80])[1]
    data = base64.b64encode(coded.tobytes()).decode("ascii")
    return (f'<image width="{columns}" height="{rows}" '
            f'transform="{_matrix(photo.preview_to_board)}" '
            f'preserveAspectRatio="none" href="data:image/jpeg;base64,{data}"/>')


def _tiles(photo: PhotoFacts, lpi: float) -> str:
    """The map's tiles in their colours, in the turn of the file."""
    rows, columns = photo.true_ppi_map.shape
    parts = [f'<rect width="{columns}" height="{rows}" fill="{_UNTOLD}"/>']
    for (row, column), ppi in np.ndenumerate(photo.true_ppi_map):
        if np.isfinite(ppi):
            colour = [shade for least, shade in _CLASSES if ppi >= least * lpi][-1]
            parts.append(f'<path d="M{column} {row}h1v1h-1z" fill="{colour}" stroke="{colour}" '
                         'stroke-width=".02"/>')
    return f'<g transform="{_matrix(photo.map_to_board)}">{"".join(parts)}</g>'


def _legend(lpi: float, long: float, letters: float) -> tuple[str, float]:
    """Patches with their figures in two columns, and the height that they take."""
    limits = [least * lpi for least, _ in _CLASSES]
    words = [f"under {limits[1]:.0f}: far too few",
             f"{limits[1]:.0f} to {limits[2]:.0f}: too few",
             f"{limits[2]:.0f} to {limits[3]:.0f}: hardly enough",
             f"{limits[3]:.0f} to {limits[4]:.0f}: enough",
             f"{limits[4]:.0f} or more: ample", "no detail to tell by"]
    patches = []
    for number, (colour, text) in enumerate(zip(
            (*(shade for _, shade in _CLASSES), _UNTOLD), words, strict=True)):
        x, y = number % 2 * long / 2, (number // 2 + 1) * 1.5 * letters
        patches.append(
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{letters:.1f}" height="{letters:.1f}" '
            f'fill="{colour}" stroke="{_INK}" stroke-width="{letters / 20:.2f}"/>'
            f'<text x="{x + 1.4 * letters:.1f}" y="{y + 0.85 * letters:.1f}">{text}</text>')
    head = (f'<text y="{0.9 * letters:.1f}">True pixels per inch, {lpi:.0f} lines per inch</text>')
    return head + "".join(patches), (len(words) + 1) // 2 * 1.5 * letters + 1.5 * letters


def _matrix(matrix: NDArray[np.float64]) -> str:
    values = (matrix[0, 0], matrix[1, 0], matrix[0, 1], matrix[1, 1], matrix[0, 2], matrix[1, 2])
    return "matrix(" + " ".join(f"{value:.6g}" for value in values) + ")"


def _path(shape: BaseGeometry) -> str:
    rings = [ring for part in get_parts(shape.simplify(0.2))
             for ring in (part.exterior, *part.interiors)]
    return "".join("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y, *_ in ring.coords) + "Z"
                   for ring in rings)
