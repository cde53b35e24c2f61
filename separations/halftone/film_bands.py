"""A film's dots in bands from top to bottom, or any crop of them."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from separations.halftone.film_content import FilmContent, FilmDots
from separations.halftone.screening import Prepared, Screening, prepare, screen_region

Item = TypeVar("Item")
Result = TypeVar("Result")


def film_bands(content: FilmDots | Screening, rows_per_band: int = 512, *,
               workers: int = 2) -> Iterator[NDArray[np.uint8]]:
    """The film's dots, band by band, nose first.

    Parameters
    ----------
    content : FilmDots or Screening
        The film; made ready already or not.
    rows_per_band : int
        Film rows a band; the last may be lower. Any number gives the same dots.
    workers : int
        Threads; any number gives the same dots.

    Yields
    ------
    NDArray of uint8, shape (rows, ceil(film columns / 8))
        1 = ink, leftmost pixel in the highest bit.
    """
    screening = prepare(content)
    bands = row_bands(screening.content.film_grid.rows, rows_per_band)
    yield from in_order(lambda band: screen_region(screening, *band), bands, workers)


def dots_in(content: FilmDots | Prepared, first_row: int, end_row: int,
            first_column: int, end_column: int) -> NDArray[np.bool_]:
    """A crop of the film, the very dots that the film has there.

    Parameters
    ----------
    content : FilmDots or Prepared
        The film; prepare it once where many crops are wanted.
    first_row, end_row, first_column, end_column : int
        Half-open region in film pixels; it lies inside the film.

    Returns
    -------
    NDArray of bool, shape (rows, columns)
        True = ink.

    Raises
    ------
    ValueError
        When the region is empty or reaches outside the film.
    """
    screening = prepare(content) if isinstance(content, FilmContent) else content
    grid = screening.content.film_grid
    if not (0 <= first_row < end_row <= grid.rows
            and 0 <= first_column < end_column <= grid.columns):
        raise ValueError("the crop is not a region of the film")
    skipped = first_column % 8
    packed = screen_region(screening, first_row, end_row, first_column - skipped, end_column)
    bits = np.unpackbits(packed, axis=1)
    return bits[:, skipped:skipped + end_column - first_column].astype(np.bool_)


def row_bands(rows: int, rows_per_band: int) -> list[tuple[int, int]]:
    """Half-open bands of at most ``rows_per_band`` rows, top to bottom."""
    return [(first, min(first + rows_per_band, rows)) for first in range(0, rows, rows_per_band)]


def in_order(work: Callable[[Item], Result], items: Iterable[Item],
             workers: int) -> Iterator[Result]:
    """Results of ``work`` in the order of the items, with few of them in memory at a time.

    At most two items a worker are begun or waiting to be taken.
    """
    with ThreadPoolExecutor(workers) as pool:
        begun: deque[Future[Result]] = deque()
        try:
            for item in items:
                begun.append(pool.submit(work, item))
                if len(begun) >= 2 * workers:
                    yield begun.popleft().result()
            while begun:
                yield begun.popleft().result()
        finally:
            for future in begun:
                future.cancel()
