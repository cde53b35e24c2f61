"""Coverage of a raster that is mostly empty: only the tiles that hold anything take memory.

Line work over a board inks a few hundredths of it. Kept whole, its planes would be the largest
thing in a run.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

#: Side of a tile in pixels.
TILE = 64


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TiledPlane:
    """One uint8 value for each pixel, 0 wherever no tile lies.

    Attributes
    ----------
    rows, columns : int
        Size in pixels.
    places : NDArray of int32, shape (tile rows, tile columns)
        Which tile lies there; tile 0 is the empty one.
    tiles : NDArray of uint8, shape (tiles, TILE, TILE)
        Beyond the plane's rim they hold 0.
    """

    rows: int
    columns: int
    places: NDArray[np.int32] = field(repr=False)
    tiles: NDArray[np.uint8] = field(repr=False)

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.rows, self.columns

    @property
    def is_empty(self) -> bool:
        """Whether every pixel is 0."""
        return not bool(self.tiles.any())

    def window(self, first_row: int = 0, end_row: int | None = None, first_column: int = 0,
               end_column: int | None = None) -> NDArray[np.uint8]:
        """A half-open part of the plane as an array of its own; the whole by default."""
        end_row = self.rows if end_row is None else end_row
        end_column = self.columns if end_column is None else end_column
        top, left = first_row // TILE, first_column // TILE
        bottom, right = -(-end_row // TILE), -(-end_column // TILE)
        found = np.zeros(((bottom - top) * TILE, (right - left) * TILE), np.uint8)
        by_tile = found.reshape(bottom - top, TILE, right - left, TILE)
        places = self.places[top:bottom, left:right]
        for row, column in np.argwhere(places):
            by_tile[row, :, column] = self.tiles[places[row, column]]
        return found[first_row - top * TILE:end_row - top * TILE,
                     first_column - left * TILE:end_column - left * TILE]

    def columns_held(self, first_row: int, end_row: int) -> NDArray[np.bool_]:
        """Which columns lie in a tile that holds anything, somewhere in a half-open run of rows."""
        held = self.places[first_row // TILE:-(-end_row // TILE)].any(axis=0)
        return np.repeat(held, TILE)[:self.columns]

    def at(self, rows: NDArray[np.integer], columns: NDArray[np.integer]) -> NDArray[np.uint8]:
        """Values at pixels of the plane, of the shape that rows and columns broadcast to."""
        tiles = self.places[rows // TILE, columns // TILE]
        return np.asarray(self.tiles[tiles, rows % TILE, columns % TILE])

    def bands(self) -> Iterator[tuple[int, NDArray[np.uint8]]]:
        """First row and pixels, full width, of each row of tiles that holds anything."""
        for band in np.flatnonzero(self.places.any(axis=1)).tolist():
            first = band * TILE
            yield first, self.window(first, min(first + TILE, self.rows))

    def means(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Mean values, 0 to 255, of each row and of each column."""
        rows, columns = (np.zeros(many * TILE) for many in self.places.shape)
        for row, column in np.argwhere(self.places):
            tile = self.tiles[self.places[row, column]]
            rows[row * TILE:(row + 1) * TILE] += tile.sum(axis=1)
            columns[column * TILE:(column + 1) * TILE] += tile.sum(axis=0)
        return rows[:self.rows] / self.columns, columns[:self.columns] / self.rows

    def averaged(self, rows: int, columns: int) -> NDArray[np.float32]:
        """The plane's means over the pixels of a coarser raster of the same extent.

        Returns
        -------
        NDArray of float32, shape (rows, columns)
            0 to 255.
        """
        down, across = _shares(self.rows, rows), _shares(self.columns, columns)
        found = np.zeros((rows, columns), np.float32)
        for row, column in np.argwhere(self.places):
            (top, by_row), (left, by_column) = down[row], across[column]
            means = by_row @ self.tiles[self.places[row, column]] @ by_column.T
            found[top:top + len(by_row), left:left + len(by_column)] += means
        return found


class TiledCanvas:
    """An empty plane that is filled piece by piece, from any thread.

    Parameters
    ----------
    rows, columns : int
        Size in pixels.
    """

    def __init__(self, rows: int, columns: int) -> None:
        self.rows, self.columns = rows, columns
        self._tiles: dict[tuple[int, int], NDArray[np.uint8]] = {}
        self._adding = threading.Lock()

    def put(self, piece: NDArray[np.uint8], first_row: int, first_column: int) -> None:
        """Put pixels, shape (n, m), where there are none yet; they lie inside the plane."""
        for (row, column), rows, columns in _tiles_under(piece, first_row, first_column):
            top, left = row * TILE, column * TILE
            self._tile(row, column)[rows.start - top:rows.stop - top,
                                    columns.start - left:columns.stop - left] \
                = piece[rows.start - first_row:rows.stop - first_row,
                        columns.start - first_column:columns.stop - first_column]

    def plane(self) -> TiledPlane:
        """All that was put; the canvas is then done."""
        places = np.zeros((-(-self.rows // TILE), -(-self.columns // TILE)), np.int32)
        order = sorted(self._tiles)
        tiles = np.zeros((len(order) + 1, TILE, TILE), np.uint8)
        for number, place in enumerate(order, 1):
            places[place] = number
            tiles[number] = self._tiles.pop(place)
        return TiledPlane(rows=self.rows, columns=self.columns, places=places, tiles=tiles)

    def _tile(self, row: int, column: int) -> NDArray[np.uint8]:
        with self._adding:
            return self._tiles.setdefault((row, column), np.zeros((TILE, TILE), np.uint8))


def tiled(plane: NDArray[np.uint8]) -> TiledPlane:
    """A plane, shape (rows, columns), by its tiles."""
    canvas = TiledCanvas(*plane.shape)
    canvas.put(plane, 0, 0)
    return canvas.plane()


def _tiles_under(
    piece: NDArray[np.uint8], first_row: int, first_column: int
) -> Iterator[tuple[tuple[int, int], slice, slice]]:
    """The tiles in which a piece holds anything, and the plane's rows and columns it has there."""
    rows, columns = (np.append(first, np.arange((first // TILE + 1) * TILE, first + many, TILE))
                     for first, many in zip((first_row, first_column), piece.shape, strict=True))
    down = np.maximum.reduceat(piece, rows - first_row, axis=0)
    held = np.maximum.reduceat(down, columns - first_column, axis=1)
    row_ends = np.append(rows[1:], first_row + piece.shape[0])
    column_ends = np.append(columns[1:], first_column + piece.shape[1])
    for r, c in np.argwhere(held):
        yield ((int(rows[r]) // TILE, int(columns[c]) // TILE),
               slice(int(rows[r]), int(row_ends[r])), slice(int(columns[c]), int(column_ends[c])))


def _shares(fine: int, coarse: int) -> list[tuple[int, NDArray[np.float32]]]:
    """For each tile of one axis, the first coarse pixel it reaches and its pixels' shares of each.

    Shares, shape (coarse pixels, TILE), of a coarse pixel's length; over all tiles they sum to 1.
    """
    edges = np.arange(fine + 1) * (coarse / fine)
    shares = []
    for first in range(0, fine, TILE):
        low, high = edges[first:min(first + TILE, fine)], edges[first + 1:first + TILE + 1]
        start = int(low[0])
        at = np.arange(start, min(int(np.ceil(high[-1] - 1e-9)), coarse))[:, None]
        share = np.zeros((len(at), TILE), np.float32)
        share[:, :len(low)] = np.clip(np.minimum(high, at + 1) - np.maximum(low, at), 0, None)
        shares.append((start, share))
    return shares
