"""A loupe on the films: the very dots of a small window, or what they look like from afar."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.job_file.job import Job
from separations.colour.colorimetry import lab_to_xyz
from separations.colour.display import eight_bit_srgb, srgb_coding
from separations.colour.print_model import PrintModel
from separations.films.film_sheet import FilmSheet
from separations.measuring.hold.film_windows import FilmWindows, Window

#: Film pixels of a window's sides, at most: a loupe, not a light table.
MOST_PIXELS = 4800
#: Windows of more inks than this have no table of overprints a byte wide.
_MOST_BYTE_INKS = 8


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LoupeView:
    """What a loupe shows, nose up as the film is seen.

    Attributes
    ----------
    rows, columns : int
        Its size.
    data : bytes
        Packed bits, ink by ink, or sRGB pixels.
    first_row, first_column : int
        Where the window begins on the film, in its pixels.
    """

    rows: int
    columns: int
    data: bytes
    first_row: int
    first_column: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Loupe:
    """The films of a job, to be looked at closely.

    Attributes
    ----------
    job : Job
        The job.
    films : tuple of FilmWindows
        One for each ink, in print order.
    sheet : FilmSheet
        Where their pixels lie.
    model : PrintModel
        The inks on the wood.
    """

    job: Job
    films: tuple[FilmWindows, ...]
    sheet: FilmSheet
    model: PrintModel

    def bits(self, at_mm: tuple[float, float], rows: int, columns: int) -> LoupeView:
        """Each film's own dots round a place on the board, 1 for ink, rows padded to bytes."""
        window = self._window(at_mm, rows, columns)
        packed = [np.packbits(film.bits(window), axis=1) for film in self.films]
        return _view(window, np.stack(packed).tobytes(), window.end_row - window.first_row,
                     window.end_column - window.first_column)

    def seen(self, at_mm: tuple[float, float], rows: int, columns: int, step: int,
             ink: int | None = None) -> LoupeView:
        """The mean colour of each square of film pixels: all inks on wood, or one film.

        Parameters
        ----------
        at_mm : tuple of float
            Middle of the window on the board.
        rows, columns : int
            Squares wanted.
        step : int
            Film pixels along a square's side.
        ink : int, optional
            The film, in print order from 0; all inks on wood if left out.
        """
        window = self._window(at_mm, rows * step, columns * step)
        rows, columns = ((window.end_row - window.first_row) // step,
                         (window.end_column - window.first_column) // step)
        window = Window(window.first_row, window.first_row + rows * step,
                        window.first_column, window.first_column + columns * step)
        if ink is None:
            linear = _linear_of(self._overprints(window), self.model)
        else:
            clear = np.where(self.films[ink].bits(window), 0, 65535).astype(np.uint16)
            linear = np.repeat(clear[:, :, None], 3, axis=2)
        small = cv2.resize(linear, (columns, rows), interpolation=cv2.INTER_AREA)
        table = srgb_coding().codes
        shown = table[(small.astype(np.int64) * (len(table) - 1) + 32767) // 65535]
        return _view(window, shown.tobytes(), rows, columns)

    def _overprints(self, window: Window) -> NDArray[np.uint8]:
        found = np.zeros((window.end_row - window.first_row,
                          window.end_column - window.first_column), np.uint8)
        for number, film in enumerate(self.films[:_MOST_BYTE_INKS]):
            found |= film.bits(window).view(np.uint8) << number
        return found

    def _window(self, at_mm: tuple[float, float], rows: int, columns: int) -> Window:
        grid, scale = self.sheet.art_grid, self.job.film.scale
        rows, columns = min(rows, grid.rows, MOST_PIXELS), min(columns, grid.columns, MOST_PIXELS)
        row = round(grid.row_of(at_mm[0] * scale.along)) - rows // 2
        column = round(grid.column_of(at_mm[1] * scale.across)) - columns // 2
        row, column = (min(max(row, 0), grid.rows - rows),
                       min(max(column, 0), grid.columns - columns))
        return Window(row, row + rows, column, column + columns)


def overprint_colours(model: PrintModel) -> list[list[int]]:
    """The sRGB colour of every overprint, the wood first; bit n of its place is ink n."""
    return [[int(v) for v in colour]
            for colour in eight_bit_srgb(lab_to_xyz(model.primaries_lab))]


def _linear_of(overprints: NDArray[np.uint8], model: PrintModel) -> NDArray[np.uint16]:
    """Linear sRGB of overprints, 65535 for white, so that means are means of light."""
    xyz = lab_to_xyz(model.primaries_lab)
    light = np.clip(xyz @ srgb_coding().to_linear.astype(np.float64).T, 0, 1)
    table = np.zeros((256, 3), np.uint16)
    table[:min(len(light), 256)] = np.rint(light[:256] * 65535)
    return np.asarray(table[overprints], np.uint16)


def _view(window: Window, data: bytes, rows: int, columns: int) -> LoupeView:
    return LoupeView(rows=rows, columns=columns, data=data, first_row=window.first_row,
                     first_column=window.first_column)
