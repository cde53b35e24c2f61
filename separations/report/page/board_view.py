"""The board's picture with the findings pinned on it, and the close views marked on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape
from itertools import product

from preflight.findings import Place
from separations.proof.shown_pictures import BoardViews, ReportPicture
from separations.report.page.finding_list import numbered
from separations.report.page.html_parts import figure, image
from separations.report.page.shown_figures import ShownFigures
from separations.report.svg_elements import element, svg_of, written

#: A pin and the gap to the next one, and how wide the board's picture is at a desk and on a phone
#: (all in rem, as in the page's style).
_PIN_REM, _PICTURES_REM = 1.9, (60.0, 21.0)
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def board_view(shown: ShownFigures, views: BoardViews) -> str:
    """The proof under its trim line and pins, in a window that can be brought nearer."""
    return (f'<div class="light-table">{zoom_choice("board")}'
            f'{window("The board, nose to the right", _stage(shown, views))}'
            f'<p class="caption">{escape(views.proof.caption)} '
            "<span>Dashed: where the sheet is trimmed. Numbers are findings, letters the close "
            "views.</span></p></div>")


def near_views(views: BoardViews) -> str:
    """The close views, lettered as on the board."""
    if not views.near:
        return ""
    shown = "".join(
        f'<li id="near-{letter}" tabindex="-1"><span class="badge" aria-hidden="true">{letter}'
        f"</span>{figure(picture)}</li>"
        for letter, picture in zip(_LETTERS, views.near, strict=False))
    return f'<div class="light-table">{zoom_choice("close")}<ul class="close">{shown}</ul></div>'


def zoom_choice(key: str) -> str:
    """How near the eye comes: radio buttons that the style sheet obeys without a script."""
    return (f'<fieldset class="choice"><legend>Look from</legend>'
            f'<label><input type="radio" name="{key}-zoom" class="whole" checked> afar</label>'
            f'<label><input type="radio" name="{key}-zoom" class="near"> near</label>'
            f'<label><input type="radio" name="{key}-zoom" class="nearest"> under the loupe</label>'
            "</fieldset>")


def window(label: str, stage: str) -> str:
    """A region that scrolls when the picture in it is larger."""
    return f'<div class="window" tabindex="0" role="region" aria-label="{label}">{stage}</div>'


def outline(views: BoardViews, boxes: Sequence[Place] = ()) -> str:
    """The trim line, and boxes round places, drawn over a picture of the board's frame."""
    frame = views.frame
    length, width = frame.greatest_x_mm - frame.least_x_mm, frame.greatest_y_mm - frame.least_y_mm
    edges = [element("polygon", points=" ".join(
        f"{x - frame.least_x_mm:.1f},{frame.greatest_y_mm - y:.1f}" for x, y in ring))
        for ring in views.trims]
    drawn = [element("rect", x=f"{b.least_x_mm - frame.least_x_mm:.1f}",
                     y=f"{frame.greatest_y_mm - b.greatest_y_mm:.1f}",
                     width=f"{max(b.greatest_x_mm - b.least_x_mm, 2):.1f}",
                     height=f"{max(b.greatest_y_mm - b.least_y_mm, 2):.1f}") for b in boxes]
    return written(svg_of(f"0 0 {length:.1f} {width:.1f}", *edges, *drawn,
                           alone=False, class_="over", aria_hidden="true",
                           preserveAspectRatio="none"))


def _stage(shown: ShownFigures, views: BoardViews) -> str:
    pins, boxes = [], []
    taken: tuple[list[tuple[float, float]], ...] = tuple([] for _ in _PICTURES_REM)
    for at in numbered(shown):
        corners = shown.at(f"{at}/place_mm")
        if corners is None:
            continue
        place = Place(least_x_mm=corners[0], least_y_mm=corners[1], greatest_x_mm=corners[2],
                      greatest_y_mm=corners[3])
        boxes.append(place)
        number, grade = shown.at(f"{at}/number"), shown.at(f"{at}/grade")
        left, top = share_of(views.frame, place)
        slim = _slimness(views.frame)
        desk, phone = (_clear_of(left * wide, top * wide * slim, wide, wide * slim, there)
                       for wide, there in zip(_PICTURES_REM, taken, strict=True))
        pins.append(
            f'<li><a class="pin {grade}" id="pin-{number}" href="#finding-{number}" '
            f'style="--left:{left * 100:.2f}%;--top:{top * 100:.2f}%;--beside:{desk[0]:g};'
            f'--below:{desk[1]:g};--beside-narrow:{phone[0]:g};--below-narrow:{phone[1]:g}" '
            f'aria-label="Finding {number}, {grade}: {shown.text(f"{at}/check")}, '
            f'{shown.text(f"{at}/place_told")}">{shown.number(f"{at}/number")}</a></li>')
    marks = "".join(_mark(letter, picture, views.frame)
                    for letter, picture in zip(_LETTERS, views.near, strict=False))
    return (f'<div class="stage">{image(views.proof)}{outline(views, boxes)}'
            f'<ul class="pins" aria-label="Pins on the board">{"".join(pins)}{marks}</ul></div>')


def _slimness(frame: Place) -> float:
    return (frame.greatest_y_mm - frame.least_y_mm) / (frame.greatest_x_mm - frame.least_x_mm)


def _clear_of(left: float, top: float, wide: float, high: float,
              taken: list[tuple[float, float]]) -> tuple[float, float]:
    """How many pins to the right and down of its place a pin is clear of those before it (rem)."""
    half, most = _PIN_REM / 2, round(wide / _PIN_REM)
    left, top = min(max(left, half), wide - half), min(max(top, half), max(high - half, half))
    rights = (n / 4 for n in range(-4 * most, 4 * most + 1))
    downs = (0.0, (half - top) / _PIN_REM, (max(high - half, half) - top) / _PIN_REM)
    for right, down in sorted(product(rights, downs), key=lambda step: (math.hypot(*step), step)):
        x, y = left + right * _PIN_REM, top + down * _PIN_REM
        if half <= x <= wide - half and all(
                abs(x - had_x) >= _PIN_REM or abs(y - had_y) >= _PIN_REM
                for had_x, had_y in taken):
            taken.append((x, y))
            return right, round(down, 2)
    return 0.0, 0.0


def _mark(letter: str, picture: ReportPicture, frame: Place) -> str:
    if picture.place is None:
        return ""
    left, top = share_of(frame, picture.place)
    return (f'<li><a class="pin view" href="#near-{letter}" style="--left:{left * 100:.2f}%;'
            f'--top:{top * 100:.2f}%" aria-label="Close view {letter}: {escape(picture.title)}">'
            f"{letter}</a></li>")


def share_of(frame: Place, place: Place) -> tuple[float, float]:
    """Where a place's middle lies in a picture of the frame, nose to the right.

    Returns
    -------
    tuple of float
        From the left and from the top, each 0 to 1, kept inside the picture.
    """
    x, y = place.centre_mm
    left = (x - frame.least_x_mm) / (frame.greatest_x_mm - frame.least_x_mm)
    top = (frame.greatest_y_mm - y) / (frame.greatest_y_mm - frame.least_y_mm)
    return min(max(left, 0.0), 1.0), min(max(top, 0.0), 1.0)
