"""A picture of where a photograph's detail is worth its pixels: the photo, and a map beneath it."""

from __future__ import annotations

import base64
from xml.etree.ElementTree import Element

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
from separations.report.svg_elements import element, svg_of, written

_WASTE, _LEAST, _ADVISED = (limits.TRUE_PIXELS_TO_WASTE.value, limits.TRUE_PIXELS.value,
                            limits.TRUE_PIXELS_ADVISED.value)
#: True pixels for each line from which a colour holds: dark is soft, whatever the eye for hue.
_CLASSES = ((0.0, "#6b1f2a"), (_WASTE, "#c1693c"), (_LEAST, "#ecd08c"),
            (_ADVISED, "#a9cbc0"), (2 * _ADVISED, "#5d958a"))
_UNTOLD = "#e9e7e1"
_INK = "#1d2523"
#: Edge and lettering as shares of the board's length: legible where it is 360 pixels wide.
_EDGE, _LETTERS = 0.02, 0.034


def true_pixel_pictures(submission: Submission) -> tuple[ReportPicture, ...]:
    """One picture for each photograph that has detail to tell by."""
    return tuple(_picture(submission, photo) for photo in submission.photos
                 if np.isfinite(photo.true_ppi_map).any())


def _picture(submission: Submission, photo: PhotoFacts) -> ReportPicture:
    lpi = photo.cell_ruling_lpcm * MM_PER_INCH / 10
    known = photo.true_ppi_map[np.isfinite(photo.true_ppi_map)]
    soft = float(np.mean(known < _LEAST * lpi)) * 100
    worth = "" if photo.true_ppi is None else f" The whole photo holds {photo.true_ppi:.0f}."
    return ReportPicture(
        title=f"True pixels of {photo.file}",
        alt=f"The photo on the board, and a map of it in tiles: {soft:.0f} % of the tiles with "
            "detail hold fewer true pixels than the halftone asks for",
        caption=f"Nose to the right. Top: the photo, {photo.ppi:.0f} pixels per inch on the "
                f"board; bottom: tile by tile, how many of these are true.{worth} {soft:.0f} % "
                f"of the tiles with detail hold fewer than {_LEAST * lpi:.0f}. A tile may be soft "
                "because the scene is: sky, mist, what is out of focus.",
        data=_svg(submission.area.printed, photo, lpi).encode("utf-8"),
        media_type="image/svg+xml", is_wide=True)


def _svg(printed: Polygon, photo: PhotoFacts, lpi: float) -> str:
    left, lower, right, upper = printed.bounds
    long, wide = right - left, upper - lower
    edge, letters = _EDGE * long, _LETTERS * long
    below = wide + edge
    clip = _path(printed)
    outline = element("path", d=clip, fill="none", stroke=_INK, stroke_width=f"{long / 400:.2f}")

    def board(inside: Element, down: float) -> Element:
        # Board millimetres, y turned to run down.
        return element("g", element("g", inside, clip_path="url(#printed)"), outline,
                       transform=f"translate({-left:.3f} {upper + down:.3f}) scale(1 -1)")

    legend, height = _legend(lpi, long, letters)
    top = below + wide + edge
    view = f"{-edge:.1f} {-edge:.1f} {long + 2 * edge:.1f} {top + height + 2 * edge:.1f}"
    return written(svg_of(
        view, element("title", f"True pixels of {photo.file}"),
        element("clipPath", element("path", d=clip), id="printed"),
        board(_preview(photo), 0.0), board(_tiles(photo, lpi), below),
        element("g", *legend, transform=f"translate(0 {top:.1f})"),
        role="img", font_family="sans-serif", font_size=f"{letters:.1f}", fill=_INK))


def _preview(photo: PhotoFacts) -> Element:
    """The photograph where it lies, small."""
    rows, columns = photo.preview.shape[:2]
    coded = cv2.imencode(".jpg", np.ascontiguousarray(photo.preview[:, :, ::-1]),
                         [cv2.IMWRITE_JPEG_QUALITY, 80])[1]
    data = base64.b64encode(coded.tobytes()).decode("ascii")
    return element("image", width=columns, height=rows,
                   transform=_matrix(photo.preview_to_board), preserveAspectRatio="none",
                   href=f"data:image/jpeg;base64,{data}")


def _tiles(photo: PhotoFacts, lpi: float) -> Element:
    """The map's tiles in their colours, in the turn of the file."""
    rows, columns = photo.true_ppi_map.shape
    parts = [element("rect", width=columns, height=rows, fill=_UNTOLD)]
    for (row, column), ppi in np.ndenumerate(photo.true_ppi_map):
        if np.isfinite(ppi):
            colour = [shade for least, shade in _CLASSES if ppi >= least * lpi][-1]
            parts.append(element("path", d=f"M{column} {row}h1v1h-1z", fill=colour, stroke=colour,
                                 stroke_width=".02"))
    return element("g", *parts, transform=_matrix(photo.map_to_board))


def _legend(lpi: float, long: float, letters: float) -> tuple[list[Element], float]:
    """Patches with their figures in two columns, and the height that they take."""
    limits = [least * lpi for least, _ in _CLASSES]
    words = [f"under {limits[1]:.0f}: far too few",
             f"{limits[1]:.0f} to {limits[2]:.0f}: too few",
             f"{limits[2]:.0f} to {limits[3]:.0f}: hardly enough",
             f"{limits[3]:.0f} to {limits[4]:.0f}: enough",
             f"{limits[4]:.0f} or more: ample", "too little detail to judge by"]
    parts = [element("text", f"True pixels per inch, {lpi:.0f} lines per inch",
                     y=f"{0.9 * letters:.1f}")]
    for number, (colour, text) in enumerate(zip(
            (*(shade for _, shade in _CLASSES), _UNTOLD), words, strict=True)):
        x, y = number % 2 * long / 2, (number // 2 + 1) * 1.5 * letters
        parts += [
            element("rect", x=f"{x:.1f}", y=f"{y:.1f}", width=f"{letters:.1f}",
                    height=f"{letters:.1f}", fill=colour, stroke=_INK,
                    stroke_width=f"{letters / 20:.2f}"),
            element("text", text, x=f"{x + 1.4 * letters:.1f}", y=f"{y + 0.85 * letters:.1f}")]
    return parts, (len(words) + 1) // 2 * 1.5 * letters + 1.5 * letters


def _matrix(matrix: NDArray[np.float64]) -> str:
    values = (matrix[0, 0], matrix[1, 0], matrix[0, 1], matrix[1, 1], matrix[0, 2], matrix[1, 2])
    return "matrix(" + " ".join(f"{value:.6g}" for value in values) + ")"


def _path(shape: BaseGeometry) -> str:
    rings = [ring for part in get_parts(shape.simplify(0.2))
             for ring in (part.exterior, *part.interiors)]
    return "".join("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y, *_ in ring.coords) + "Z"
                   for ring in rings)
