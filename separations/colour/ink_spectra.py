"""Reflectance spectra of an ink over white and over black, and of bare wood, from their files."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np

from preflight.files.file_contents import FileContents
from preflight.input_problem import InputProblem
from separations.colour.colorimetry import FloatArray
from separations.colour.measured_files.patch_rows import PATCH_COLUMN
from separations.colour.measured_files.reading_tables import measured_rows, number_in
from separations.colour.measured_files.spectral_columns import (
    REFLECTANCES,
    even_spectra,
    wavelength_of,
)
from separations.colour.spectra import BANDS, in_bands

#: Rows of an ink's file: the card's white, the solid on it, and the solid on the card's black.
WHITE, OVER_WHITE, BLACK, OVER_BLACK = "white", "over white", "black", "over black"
_WOOD = "wood"
#: A white card of less light than this is none; an ink over white is darker than its card.
_LEAST_WHITE = 0.4
_LEAST_LIGHT = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkSpectra:
    """An ink's solid on both halves of a contrast card, each of shape (43,), 360 to 780 nm.

    Attributes
    ----------
    white, over_white : ndarray, shape (43,), float64
        Reflectance of the card's white, and of the solid on it.
    black, over_black : ndarray, shape (43,), float64
        The same of its black; nought where the file does not tell the card's own.
    """

    white: FloatArray
    over_white: FloatArray
    black: FloatArray
    over_black: FloatArray


def ink_spectra(path: Path) -> InkSpectra:
    """Read an ink's file: rows ``white``, ``over white``, ``over black`` and, if read, ``black``.

    Parameters
    ----------
    path : Path
        A spectral CSV, CGATS text or CxF, as `topsheet calibrate` takes them.

    Raises
    ------
    InputProblem
        When the file cannot be read, lacks a row, has one that is unknown, holds no spectra, or
        the ink is lighter over black than over white.
    """
    rows = _rows(path)
    for name in (WHITE, OVER_WHITE, OVER_BLACK):
        if name not in rows:
            raise InputProblem(where=str(path), found=f"no row '{name}'", would_do=_ASKED)
    if rows[WHITE].max() < _LEAST_WHITE:
        raise InputProblem(where=f"{path}: {WHITE}",
                           found=f"a reflectance of {100 * rows[WHITE].max():.0f} % at most",
                           would_do="the bare white of the card")
    if rows[OVER_BLACK].mean() > rows[OVER_WHITE].mean():
        raise InputProblem(where=f"{path}: {OVER_BLACK}",
                           found="an ink that is lighter over black than over white",
                           would_do="the two rows exchanged")
    return InkSpectra(white=rows[WHITE], over_white=rows[OVER_WHITE],
                      black=rows.get(BLACK, np.zeros(BANDS)), over_black=rows[OVER_BLACK])


def wood_spectrum(path: Path) -> FloatArray:
    """Read the bare wood's file, one row called ``wood``; shape (43,).

    Raises
    ------
    InputProblem
        When the file cannot be read, holds no spectrum, or has another row.
    """
    rows = _rows(path, (_WOOD,))
    return rows[_WOOD]


_ASKED = (f"reflectances in rows called '{WHITE}', '{OVER_WHITE}', '{OVER_BLACK}' and, if the "
          f"card's was read, '{BLACK}'")
_CONTENTS = FileContents()


def _rows(path: Path, names: tuple[str, ...] = (WHITE, OVER_WHITE, BLACK, OVER_BLACK)
          ) -> dict[str, FloatArray]:
    return dict(zip(*_read_once(path, names, _CONTENTS.digest(path)), strict=True))


@lru_cache(maxsize=32)
def _read_once(path: Path, names: tuple[str, ...], _content: str
               ) -> tuple[tuple[str, ...], FloatArray]:
    """Names and spectra (N, 43) of a file's rows."""
    asked = _ASKED if len(names) > 1 else f"reflectances in one row called '{names[0]}'"
    table, _ = measured_rows(path)
    found: dict[str, list[float]] = {}
    waves: dict[str, int] = {}
    for place, row in table:
        name = " ".join(row.get(PATCH_COLUMN, "").replace("_", " ").casefold().split())
        told = {heading: wave for heading, cell in row.items()
                if cell and (wave := wavelength_of(heading)) is not None}
        if name not in names:
            raise InputProblem(where=f"{path}: {place}", found=f"the row '{name[:40]}'",
                               would_do=asked)
        if name in found:
            raise InputProblem(where=f"{path}: {place}", found=f"'{name}' a second time",
                               would_do="one row of each name")
        if not told or (waves and told != waves):
            raise InputProblem(where=f"{path}: {place}, {name}",
                               found="no spectrum" if not told else
                               "other wavelengths than in the rows before",
                               would_do="reflectances every 10 or 20 nm, all rows alike,")
        waves = told
        found[name] = [number_in(row[heading], f"{path}: {place}, {name}, {heading}",
                                 *REFLECTANCES, "a reflectance") for heading in told]
    if not found:
        raise InputProblem(where=str(path), found="no rows", would_do=asked)
    first, step, read = even_spectra(list(waves.values()), np.array(list(found.values())),
                                     str(path), [f"row '{name}'" for name in found])
    return tuple(found), np.maximum(in_bands(first, read, step), _LEAST_LIGHT)
