"""A grey scale or colour target that lies beside the sheet in a picture: its values and place.

A table tells both. Places are pixels as any program that shows pictures tells them, from the upper
left; of a scale the first and the last step do, of a grid four corners, and the others follow.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from preflight.nouns import counted
from separations.colour.measured_files.reading_tables import number_in, read_table
from separations.uses.press_scan.scan_picture import ScanPicture

FloatArray = NDArray[np.float64]
Cells = dict[str, str]

GREY_COLUMNS, COLOUR_COLUMNS = ("D", "x", "y"), ("L", "a", "b", "x", "y")
_FURTHER = ("patch", "row", "column", "picture")
_RANGES = {"D": (-0.2, 6.0), "L": (0.0, 100.0), "a": (-128.0, 128.0), "b": (-128.0, 128.0),
           "x": (0.0, 100_000.0), "y": (0.0, 100_000.0), "row": (1.0, 200.0),
           "column": (1.0, 200.0)}
#: Fewest steps of a grey scale and patches of a colour target. Own rule.
LEAST_STEPS, LEAST_COLOURS = 5, 10
#: Share of the way to the next patch that is looked at, to each side of a patch's middle.
_LOOKED_AT = 0.22
#: Levels (0 to 1) of a patch may differ by this (deviation): a place beside it differs by more.
_MOST_UNEVEN = 0.06


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BesideTarget:
    """Patches of known values in a picture.

    Attributes
    ----------
    path : Path
        The table.
    picture : str
        File name of the picture that shows it; empty for the first.
    names : tuple of str
        What each patch is called.
    values : ndarray, shape (N, 1) or (N, 3), float64
        Densities, or CIELAB D50.
    at_px : ndarray, shape (N, 2), float64
        Column and row of each patch's middle.
    """

    path: Path
    picture: str
    names: tuple[str, ...]
    values: FloatArray
    at_px: FloatArray

    def is_in(self, picture: Path) -> bool:
        """Whether that picture shows it."""
        return not self.picture or picture.name == self.picture

    @property
    def reach_px(self) -> int:
        """How far to each side of its middle a patch is looked at."""
        apart = np.linalg.norm(self.at_px[:, None] - self.at_px, axis=2)
        np.fill_diagonal(apart, np.inf)
        return max(1, round(_LOOKED_AT * float(apart.min())))

    def levels(self, picture: ScanPicture) -> FloatArray:
        """Levels as stored (0 to 1) of each patch in red, green and blue, shape (N, 3).

        Raises
        ------
        InputProblem
            When a patch lies outside the picture, or its place is not even.
        """
        rows, columns = picture.levels.shape[:2]
        reach, found = self.reach_px, []
        for name, (x, y) in zip(self.names, np.rint(self.at_px).astype(int), strict=True):
            where = f"{self.path}: {name}, at {x}, {y}"
            if not (reach <= x < columns - reach and reach <= y < rows - reach):
                raise InputProblem(where=where, found="a place outside the picture",
                                   would_do=f"one within its {columns} × {rows} pixels")
            part = picture.coded(slice(y - reach, y + reach + 1), slice(x - reach, x + reach + 1))
            if float(part.std(axis=(0, 1)).max()) > _MOST_UNEVEN:
                raise InputProblem(where=where, found="a place that is not even",
                                   would_do="the middle of the patch, in pixels from the upper "
                                            "left")
            found.append(part.mean(axis=(0, 1), dtype=np.float64))
        return np.array(found)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Beside:
    """What lies beside the sheet.

    Attributes
    ----------
    grey, colours : BesideTarget or None
        A grey scale and a colour target.
    light : ndarray, shape (3, 65536), float32, or None
        What levels mean as light by a grey scale in another picture of the same camera.
    """

    grey: BesideTarget | None = None
    colours: BesideTarget | None = None
    light: NDArray[np.float32] | None = None

    def squares_px(self, picture: Path) -> tuple[FloatArray, ...]:
        """Corners (4, 2) of what is looked at in a picture, column and row."""
        square = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]], float)
        return tuple(at + target.reach_px * square for target in (self.grey, self.colours)
                     if target is not None and target.is_in(picture) for at in target.at_px)


NOTHING_BESIDE = Beside()


def read_grey_scale(path: Path) -> BesideTarget:
    """Read a grey scale's table: ``D`` and, of some steps, ``x`` and ``y``; a row each, in order.

    Raises
    ------
    InputProblem
        When it cannot be read, or has too few steps or places.
    """
    rows = _rows(path, GREY_COLUMNS, LEAST_STEPS, "steps of known density")
    told, known = _told_places(path, rows)
    if told.sum() < 2 or not (told[0] and told[-1]):
        raise InputProblem(where=str(path), found=f"{counted(int(told.sum()), 'place')}",
                           would_do="x and y of the first and the last step, or of all,")
    steps = np.arange(len(rows))
    at = np.column_stack([np.interp(steps, steps[told], known[:, axis]) for axis in (0, 1)])
    return _target(path, rows, ("D",), at)


def read_colour_target(path: Path) -> BesideTarget:
    """Read a colour target's table: ``L``, ``a``, ``b``, and the places of its patches.

    ``row`` and ``column`` (from 1) tell the grid; with them, ``x`` and ``y`` of the four corners
    do. Without them each patch has its own.

    Raises
    ------
    InputProblem
        When it cannot be read, or has too few patches or places.
    """
    rows = _rows(path, COLOUR_COLUMNS, LEAST_COLOURS, "patches of known colour")
    told, known = _told_places(path, rows)
    if told.all():
        return _target(path, rows, ("L", "a", "b"), known)
    grid = np.array([[_number(path, row, key) for key in ("column", "row")] for row in rows])
    if told.sum() >= 4 and not np.isnan(grid).any():
        to_pixels, _ = cv2.findHomography(grid[told], known)
        if to_pixels is not None and np.linalg.matrix_rank(grid[told] - grid[told][0]) == 2:
            raised = np.column_stack([grid, np.ones(len(grid))]) @ np.asarray(to_pixels).T
            return _target(path, rows, ("L", "a", "b"), raised[:, :2] / raised[:, 2:])
    raise InputProblem(where=str(path), found=f"{counted(int(told.sum()), 'place')}",
                       would_do="row and column of every patch with x and y of the four corners, "
                                "or x and y of all,")


def _rows(path: Path, columns: tuple[str, ...], least: int, what: str) -> list[tuple[int, Cells]]:
    rows = read_table(path)
    known = {*columns, *_FURTHER}
    for heading in dict.fromkeys(heading for _, row in rows for heading in row):
        if heading not in known:
            raise InputProblem(where=f"{path}: heading", found=f"'{heading}'",
                               would_do="one of " + ", ".join(f"'{one}'" for one in sorted(known)))
    if len(rows) < least:
        raise InputProblem(where=str(path), found=counted(len(rows), "row"),
                           would_do=f"{least} {what} or more")
    return rows


def _told_places(path: Path, rows: list[tuple[int, Cells]]
                 ) -> tuple[NDArray[np.bool_], FloatArray]:
    """For which rows x and y are told, shape (N,), and these places, shape (told, 2)."""
    places = np.array([[_number(path, row, key) for key in ("x", "y")] for row in rows])
    missing = np.isnan(places)
    for row, (no_x, no_y) in zip(rows, missing, strict=True):
        if no_x != no_y:
            raise InputProblem(where=f"{path}: line {row[0]}", found="one of x and y",
                               would_do="both, or neither")
    told = ~missing[:, 0]
    return told, places[told]


def _number(path: Path, row: tuple[int, Cells], key: str) -> float:
    line, cells = row
    if not cells.get(key):
        return float("nan")
    return number_in(cells[key], f"{path}: line {line}, {key}", *_RANGES[key], "a number")


def _target(path: Path, rows: list[tuple[int, Cells]], values: tuple[str, ...], at: FloatArray
            ) -> BesideTarget:
    found = np.array([[_number(path, row, key) for key in values] for row in rows])
    if np.isnan(found).any():
        line = rows[int(np.isnan(found).any(axis=1).argmax())][0]
        raise InputProblem(where=f"{path}: line {line}", found="no value",
                           would_do=" and ".join(values) + " of each patch")
    pictures = dict.fromkeys(cells["picture"] for _, cells in rows if cells.get("picture"))
    if len(pictures) > 1:
        raise InputProblem(where=f"{path}: picture", found="two pictures",
                           would_do="one, which shows the whole target,")
    return BesideTarget(
        path=path, picture=next(iter(pictures), ""), values=found, at_px=at,
        names=tuple(f"patch {cells.get('patch') or place}"
                    for place, (_, cells) in enumerate(rows, 1)))
