"""The drawing that lies over the picture in its own film: a chart's lines and invented notes."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import cv2
import numpy as np
import reportlab
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont
from skimage.measure import find_contours

from demo_art.painting.terrain import EYE_M, FOCAL, HORIZON, PICTURE_SPAN, Terrain, path_line

SHEET_MM = (1596.0, 316.0)
SHEET_PPI = 400
LONG_SIDE_RIM_MM = 25.0
END_RIM_MM = 120.0
_THIN_MM, _MIDDLE_MM, _BOLD_MM = 0.38, 0.45, 0.60
_SHIFT = 4
_ROSE = (0.98, 0.255, 25.0)  # u, v and radius in mm
_TIDE = (1.40, 4.16, 0.235, 13.5)  # from u, to u, mean level v, greatest height in mm
# words, u and v of their middle, letter size (em) in mm, slanted as chart makers slant waters
_NOTES = (("Heron Spit", 1.22, 0.455, 7.4, False), ("Curlew Ground", 2.34, 0.478, 8.4, False),
          ("Otter Creek", 3.02, 0.585, 7.4, True), ("Fen Lane", 4.075, 0.318, 8.4, False),
          ("1.4 m at springs", 2.78, 0.160, 6.8, True), ("0.8", 2.26, 0.668, 6.6, True),
          ("2.1", 1.92, 0.545, 6.6, True), ("1.6", 2.62, 0.600, 6.6, True))

Sheet = NDArray[np.uint8]
Points = NDArray[np.float64]


def draw_map(seed: int, ppi: float = SHEET_PPI) -> Sheet:
    """Draw the line work.

    Parameters
    ----------
    seed : int
        The landscape's seed: the tide lines follow its channels.
    ppi : float
        Pixels per inch of the 1596 × 316 mm sheet.

    Returns
    -------
    ndarray, shape (rows, cols), uint8
        0 = ink, 255 = clear; edges antialiased.
    """
    scale = ppi / 25.4
    sheet: Sheet = np.full((round(SHEET_MM[1] * scale), round(SHEET_MM[0] * scale)), 255, np.uint8)
    for line in _tide_lines(seed):
        _stroke(sheet, line, _THIN_MM, scale)
    for dash in _dashes(_to_mm(path_line()[20:330]), 6.5, 3.6):
        _stroke(sheet, dash, _BOLD_MM, scale)
    _stroke(sheet, _to_mm(np.array([[4.075, 0.347], [4.075, 0.425]])), _MIDDLE_MM, scale)
    _draw_tide_curve(sheet, scale)
    _draw_rose(sheet, scale)
    for words, u, v, em_mm, slanted in _NOTES:
        _write(sheet, words, _to_mm(np.array([[u, v]]))[0], (em_mm, slanted), scale)
    return sheet


def _to_mm(uv: Points) -> Points:
    """Picture position to sheet mm: the picture fills the sheet's length and is centred across."""
    per_height = SHEET_MM[0] / PICTURE_SPAN
    middle: Points = uv * per_height + (0.0, (SHEET_MM[1] - per_height) / 2)
    return middle


def _within_rims(line: Points) -> list[Points]:
    """Cut a line at the rims that are kept clear."""
    inside = ((line[:, 0] > END_RIM_MM + 1) & (line[:, 0] < SHEET_MM[0] - END_RIM_MM - 1)
              & (line[:, 1] > LONG_SIDE_RIM_MM + 1)
              & (line[:, 1] < SHEET_MM[1] - LONG_SIDE_RIM_MM - 1))
    cuts = np.flatnonzero(np.diff(inside.astype(int))) + 1
    return [part for part, kept in zip(np.split(line, cuts), np.split(inside, cuts), strict=True)
            if kept[0] and len(part) > 2]


def _tide_lines(seed: int) -> list[Points]:
    """Strands along the channels' shores, closer to each other the farther away."""
    columns, rows = 2600, 900
    u_line = np.linspace(0.45, 3.65, columns, dtype=np.float32)
    v_line = np.linspace(0.440, 0.86, rows, dtype=np.float32)
    u, v = np.meshgrid(u_line, v_line)
    distance = np.float32(EYE_M * FOCAL) / (v - np.float32(HORIZON))
    terrain = Terrain(seed)
    aside = cv2.GaussianBlur(terrain.channel_m(u, distance), (0, 0), 5.0) / distance
    hidden = cv2.GaussianBlur(terrain.nearness(u, distance), (0, 0), 3.0) > 0.02
    brow = terrain.seen_distance_m(u_line, v_line, 900)
    hidden |= brow < distance * 0.86
    aside[hidden | (v < 0.450)] = np.nan
    lines = []
    for level in (-0.050, 0.012, 0.062):
        for found in find_contours(aside, level):
            uv = np.stack([np.interp(found[:, 1], np.arange(columns), u_line),
                           np.interp(found[:, 0], np.arange(rows), v_line)], axis=-1)
            for part in _within_rims(_to_mm(uv)):
                if np.hypot(*np.diff(part, axis=0).T).sum() > 28.0:
                    lines.extend(_clear_of_notes(part))
    return lines


def _clear_of_notes(line: Points) -> list[Points]:
    """Leave room round the notes."""
    free = np.ones(len(line), bool)
    for words, u, v, em_mm, _ in _NOTES:
        middle = _to_mm(np.array([[u, v]]))[0]
        half = np.array([0.37 * em_mm * len(words) + 3.0, 0.70 * em_mm + 1.6])
        free &= ~np.all(np.abs(line - middle) < half, axis=1)
    cuts = np.flatnonzero(np.diff(free.astype(int))) + 1
    return [part for part, kept in zip(np.split(line, cuts), np.split(free, cuts), strict=True)
            if kept[0] and np.hypot(*np.diff(part, axis=0).T).sum() > 8.0]


def _draw_tide_curve(sheet: Sheet, scale: float) -> None:
    """A fortnight of tides, two a day, springs in the middle and neaps at both ends."""
    first, last, level, high_mm = _TIDE
    along = np.linspace(0.0, 1.0, 6000)
    beat = 0.62 + 0.38 * np.cos((along - 0.5) * 2 * np.pi)
    start, end = _to_mm(np.array([[first, level], [last, level]]))
    curve = np.stack([start[0] + along * (end[0] - start[0]),
                      start[1] - high_mm * beat * np.cos((along - 0.5) * 2 * np.pi * 28)], axis=-1)
    _stroke(sheet, curve, _MIDDLE_MM, scale)
    for day in range(15):
        x = start[0] + day / 14 * (end[0] - start[0])
        reach = 2.6 if day % 7 else 4.6
        top = start[1] + high_mm + 4.0
        _stroke(sheet, np.array([[x, top], [x, top + reach]]), _MIDDLE_MM, scale)


def _draw_rose(sheet: Sheet, scale: float) -> None:
    """A plain rose: two rings, ticks, and a slender star half filled."""
    u, v, radius = _ROSE
    middle = _to_mm(np.array([[u, v]]))[0]
    turn = np.linspace(0, 2 * np.pi, 361)
    tilt = np.radians(-14.0)

    def at(angle: float | NDArray[np.float64], reach: float) -> Points:
        turned = angle + tilt
        place: Points = middle + reach * np.stack([np.sin(turned), -np.cos(turned)], axis=-1)
        return place

    _stroke(sheet, at(turn, radius), _BOLD_MM, scale)
    _stroke(sheet, at(turn, radius - 2.6), _THIN_MM, scale)
    for tick in range(72):
        angle = tick * np.pi / 36
        inner = radius - (2.6 if tick % 2 else 4.6 if tick % 18 else 6.4)
        _stroke(sheet, np.stack([at(angle, inner), at(angle, radius)]), _THIN_MM, scale)
    for point in range(8):
        angle = point * np.pi / 4
        reach, waist = ((radius - 8.0, 3.4), (radius * 0.42, 2.6))[point % 2]
        right = np.stack([at(angle, reach), at(angle + np.pi / 4, waist), middle])
        left = np.stack([at(angle, reach), at(angle - np.pi / 4, waist), middle])
        points = np.rint(right * scale * (1 << _SHIFT)).astype(np.int32)
        cv2.fillConvexPoly(sheet, points, 0, cv2.LINE_AA, _SHIFT)
        _stroke(sheet, np.concatenate([left, left[:1]]), _THIN_MM, scale)
    _write(sheet, "N", at(0.0, radius + 6.0), (8.4, False), scale)


def _stroke(sheet: Sheet, line: Points, width_mm: float, scale: float) -> None:
    points = np.rint(line * scale * (1 << _SHIFT)).astype(np.int32)
    cv2.polylines(sheet, [points], False, 0, max(1, round(width_mm * scale)), cv2.LINE_AA, _SHIFT)


def _dashes(line: Points, dash_mm: float, gap_mm: float) -> list[Points]:
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    dashes = []
    for start in np.arange(0.0, along[-1] - dash_mm, dash_mm + gap_mm):
        at = np.linspace(start, start + dash_mm, 12)
        dash = np.stack([np.interp(at, along, line[:, axis]) for axis in (0, 1)], axis=-1)
        dashes.extend(_within_rims(dash))
    return dashes


def _write(sheet: Sheet, words: str, middle_mm: Sequence[float] | Points,
           lettering: tuple[float, bool], scale: float) -> None:
    """Write words, well spaced, centred on a point of the sheet."""
    em_mm, slanted = lettering
    name = "VeraIt.ttf" if slanted else "Vera.ttf"
    font = ImageFont.truetype(
        str(Path(reportlab.__file__).parent / "fonts" / name), max(4.0, em_mm * scale))
    spacing = 0.11 * em_mm * scale
    advance = [font.getlength(letter) + spacing for letter in words]
    wide, tall = int(sum(advance) + 2 * em_mm * scale), int(2 * em_mm * scale)
    page = Image.new("L", (wide, tall), 255)
    pen = ImageDraw.Draw(page)
    x = (wide - sum(advance) + spacing) / 2
    for letter, step in zip(words, advance, strict=True):
        pen.text((x, tall / 2 + 0.365 * em_mm * scale), letter, fill=0, font=font, anchor="ls")
        x += step
    left, top = round(middle_mm[0] * scale - wide / 2), round(middle_mm[1] * scale - tall / 2)
    place = sheet[top:top + tall, left:left + wide]
    np.minimum(place, np.asarray(page), out=place)
