"""Dots and holes of one ink's film, in windows over the board and at its extremes of tone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.facts.mesh_hold_facts import DotsHeld, InkHold, share_lost
from preflight.findings import Place
from preflight.frames.raster_grid import RasterGrid
from preflight.press.mesh import Mesh
from separations.halftone.film_content import FilmContent
from separations.measuring.hold.film_windows import FilmWindows, Window
from separations.measuring.hold.local_width import equal_diameter, strip_widths_px, whole_parts

#: Windows over the board, and at an ink's lightest and darkest places; side of a window (mm) and
#: in halftone periods, whichever is more. Own rules, no source: enough dots for a share of 1 %.
WINDOWS, _EXTREMES = 200, 6
_WINDOW_MM, _WINDOW_PERIODS = 3.0, 5.0
#: Dots are not looked for where they have joined, nor holes where there are none yet.
_NO_DOTS_FROM, _NO_HOLES_BELOW = 0.7, 0.3
#: A dot of few film pixels is told too small from half a pixel of diameter on.
_DOUBT_PX = 0.5
_FULL = 65_535


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tally:
    """Dots, or holes, of a film: one entry a window.

    Attributes
    ----------
    tone : NDArray of float64, shape (N,)
        Mean tone of the window's bits (0 to 1).
    lost : NDArray of float64, shape (N,)
        Share of the window expected to be lost.
    """

    tone: NDArray[np.float64]
    lost: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HalftoneHold:
    """One ink's facts, and how its losses go with tone."""

    facts: InkHold
    dots: Tally
    holes: Tally


def even_windows(film: RasterGrid, side_px: int, count: int) -> tuple[Window, ...]:
    """About ``count`` windows evenly over a film."""
    across = max(1, round((count * film.columns / film.rows) ** 0.5))
    along = max(1, round(count / across))
    return tuple(
        _window(film, (r + 0.5) * film.rows / along, (c + 0.5) * film.columns / across, side_px)
        for r in range(along) for c in range(across))


def extreme_windows(content: FilmContent, side_px: int) -> tuple[Window, ...]:
    """Windows at the lightest and the darkest places of an ink that have dots or holes at all."""
    film, grid = content.film_grid, content.tone_grid
    step = max(1, round(side_px * film.pixel_mm / grid.pixel_mm))
    sample = content.tones[step // 2::step, step // 2::step]
    order = np.argsort(sample, axis=None, kind="stable")
    tones = sample.ravel()[order]
    light = order[np.searchsorted(tones, 0, "right"):][:_EXTREMES]
    dark = order[:np.searchsorted(tones, _FULL, "left")][-_EXTREMES:]
    chosen = np.unique(np.concatenate([light, dark]))
    places = np.stack(np.unravel_index(chosen, sample.shape), axis=1) * step + step // 2 + 0.5
    return tuple(
        _window(film, film.row_of(grid.top_x_mm - row * grid.pixel_mm),
                film.column_of(grid.left_y_mm - column * grid.pixel_mm), side_px)
        for row, column in places)


def measure_halftone(
    content: FilmContent, mesh: Mesh, ink: str, windows_over_board: int = WINDOWS
) -> HalftoneHold:
    """Measure one ink's dots and holes on its film's own bits.

    Parameters
    ----------
    content : FilmContent
        The whole film.
    mesh : Mesh
        What is to carry it.
    ink : str
        The ink's name.
    windows_over_board : int
        About how many windows to lay evenly; a dozen more lie at the extremes of tone.
    """
    film, spec = content.film_grid, content.spec
    side_px = round(max(_WINDOW_MM, _WINDOW_PERIODS * 10 / spec.ruling_lpcm) / film.pixel_mm)
    even = even_windows(film, side_px, windows_over_board)
    windows = (*even, *extreme_windows(content, side_px))
    shown = FilmWindows(content)
    held_um = mesh.finest_line_um if spec.makes_lines else mesh.smallest_dot_um
    counts = {True: _Count(), False: _Count()}
    seen = 0
    for window in windows:
        if not _has_halftone(content, window):
            for count in counts.values():
                count.add(np.zeros(0), np.zeros(0), 0.0)
            continue
        seen += 1
        bits = shown.bits(window)
        tone = float(bits.mean())
        for ink_side, count in counts.items():
            looked = tone < _NO_DOTS_FROM if ink_side else tone > _NO_HOLES_BELOW
            part = (bits if ink_side else ~bits) if looked else np.zeros((1, 1), np.bool_)
            count.add(*_sizes(part, film.pixel_mm * 1000, mesh, held_um,
                              strips=spec.makes_lines), tone)
    held = {side: count.held(windows, film, len(even), held_um - _DOUBT_PX * film.pixel_mm * 1000)
            for side, count in counts.items()}
    return HalftoneHold(
        facts=InkHold(ink=ink, held_um=held_um, windows=seen, dots=held[True],
                      holes=held[False]),
        dots=counts[True].tally(), holes=counts[False].tally())


def _sizes(
    part: NDArray[np.bool_], pixel_um: float, mesh: Mesh, held_um: float, *, strips: bool
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Widths (µm) of a window's parts, and the share of the window that each loses."""
    if strips:
        widths = strip_widths_px(part) * pixel_um
        areas = np.full(len(widths), np.count_nonzero(part) / max(1, len(widths)))
        weights = np.ones(len(widths))
    else:
        areas, weights = whole_parts(part, 8)
        widths = equal_diameter(areas) * pixel_um
    under = widths < held_um - _DOUBT_PX * pixel_um
    lost = np.zeros(len(widths))
    lost[under] = [share_lost(float(w), mesh.thread_um, held_um) for w in widths[under]]
    return widths, lost * areas * weights / part.size


class _Count:
    """Adds up windows."""

    def __init__(self) -> None:
        self.widths: list[NDArray[np.float64]] = []
        self.losses: list[float] = []
        self.tones: list[float] = []

    def add(self, widths: NDArray[np.float64], lost: NDArray[np.float64], tone: float) -> None:
        """Take one window."""
        self.widths.append(widths)
        self.losses.append(float(lost.sum()))
        self.tones.append(tone)

    def tally(self) -> Tally:
        """All windows' tones and losses."""
        return Tally(tone=np.array(self.tones), lost=np.array(self.losses))

    def held(self, windows: tuple[Window, ...], film: RasterGrid, even: int,
             limit_um: float) -> DotsHeld:
        """The windows as facts; the mean is that of the evenly laid ones, the first ``even``."""
        widths = np.concatenate(self.widths)
        worst = int(np.argmax(self.losses)) if self.losses else 0
        loses = bool(self.losses) and self.losses[worst] > 0
        return DotsHeld(
            seen=len(widths), lost=int(np.count_nonzero(widths < limit_um)),
            least_um=float(widths.min()) if len(widths) else None,
            tone_lost=float(np.mean(self.losses[:even])),
            worst_tone_lost=self.losses[worst] if loses else 0.0,
            place=place_of_window(windows[worst], film) if loses else None)


def place_of_window(window: Window, film: RasterGrid) -> Place:
    """A window of a film as a place on the board."""
    return Place(
        least_x_mm=film.top_x_mm - window.end_row * film.pixel_mm,
        greatest_x_mm=film.top_x_mm - window.first_row * film.pixel_mm,
        least_y_mm=film.left_y_mm - window.end_column * film.pixel_mm,
        greatest_y_mm=film.left_y_mm - window.first_column * film.pixel_mm)


def _window(film: RasterGrid, row: float, column: float, side_px: int) -> Window:
    """A window round a film pixel, moved inside the film."""
    high, wide = min(side_px, film.rows), min(side_px, film.columns)
    first_row = min(max(round(row) - high // 2, 0), film.rows - high)
    first_column = min(max(round(column) - wide // 2, 0), film.columns - wide)
    return Window(first_row, first_row + high, first_column, first_column + wide)


def _has_halftone(content: FilmContent, window: Window) -> bool:
    """Whether the window's tones are neither all clear nor all solid."""
    grid, film = content.tone_grid, content.film_grid
    scale = film.pixel_mm / grid.pixel_mm
    top = grid.row_of(film.top_x_mm) + window.first_row * scale
    left = grid.column_of(film.left_y_mm) + window.first_column * scale
    rows, columns = (window.end_row - window.first_row) * scale, \
        (window.end_column - window.first_column) * scale
    tones = content.tones[max(int(top), 0):int(top + rows) + 1,
                          max(int(left), 0):int(left + columns) + 1]
    return bool(tones.size) and not (tones.max() == 0 or tones.min() == _FULL)
