"""TIFFs beside the PDFs: a film's whole page in 1 bit, and an ink's tones in 16 bits."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import numpy as np
from isal import isal_zlib
from numpy.typing import NDArray

from preflight.frames.raster_grid import RasterGrid
from preflight.units import MM_PER_INCH
from separations.films.document_facts import DocumentFacts
from separations.films.group4 import StripJoiner, code_rows
from separations.films.page_bits import PageBits
from separations.films.strip_decoding import checksum
from separations.films.tiff_file import DEFLATE, GROUP4, TiffFacts, TiffFile
from separations.films.tiff_read_back import TiffRecord
from separations.halftone.film_bands import in_order, row_bands
from separations.runtime.progress import PacedProgress, Progress

ROWS_PER_STRIP = 256
_DEFLATE_LEVEL = 2


class _MadeStrip(NamedTuple):
    code: bytes
    rows: int
    digest: bytes


def write_film_tiff(path: Path, page: PageBits, *, workers: int = 2,
                    progress: Progress | None = None) -> TiffRecord:
    """Write one ink's film, marks and label included, as Group 4 strips.

    Parameters
    ----------
    path : Path
        The file to write.
    page : PageBits
        The film's page; its pixels are those that the PDF shows at the film's resolution.
    workers : int
        Threads; any number gives the same bytes.
    progress : callable, optional
        Told (rows done, rows in all) on this thread.
    """
    facts = TiffFacts(rows=page.rows, columns=page.columns, rows_per_strip=ROWS_PER_STRIP, bits=1,
                      compression=GROUP4, ppi=page.dpi, title=page.facts.title,
                      date=page.facts.date)

    def coded(rows: NDArray[np.uint8]) -> bytes:
        joiner = StripJoiner()
        above = np.zeros(rows.shape[1], np.uint8)
        return joiner.join(code_rows(rows, above, page.columns)) + joiner.close()

    return _write(path, facts, page.band, coded, PacedProgress(progress, page.rows), workers)


def write_grey_tiff(path: Path, rows_of: Callable[[int, int], NDArray[np.uint16]],
                    grid: RasterGrid, told: DocumentFacts, *, workers: int = 2) -> TiffRecord:
    """Write one ink's tones as deflated strips.

    Parameters
    ----------
    path : Path
        The file to write.
    rows_of : callable
        Rows of tones from one to another (exclusive), uint16: 0 is bare, 65535 solid ink. In the
        file solid ink is 0 (black), since readers differ in whether they turn 16 bits round.
    grid : RasterGrid
        Where the tones lie; their size and resolution.
    told : DocumentFacts
        What it shows, and the date.
    workers : int
        Threads; any number gives the same bytes.
    """
    facts = TiffFacts(rows=grid.rows, columns=grid.columns, rows_per_strip=ROWS_PER_STRIP, bits=16,
                      compression=DEFLATE, ppi=MM_PER_INCH / grid.pixel_mm, title=told.title,
                      date=told.date)

    def low_byte_first(first: int, end: int) -> NDArray[np.uint8]:
        return np.ascontiguousarray(~rows_of(first, end), "<u2").view(np.uint8)

    def coded(band: NDArray[np.uint8]) -> bytes:
        return bytes(isal_zlib.compress(band, _DEFLATE_LEVEL))

    return _write(path, facts, low_byte_first, coded, PacedProgress(None, grid.rows), workers)


def _write(path: Path, facts: TiffFacts, rows_of: Callable[[int, int], NDArray[np.uint8]],
           coded: Callable[[NDArray[np.uint8]], bytes], paced: PacedProgress,
           workers: int) -> TiffRecord:
    digests = []

    def make(band: tuple[int, int]) -> _MadeStrip:
        rows = rows_of(*band)
        return _MadeStrip(coded(rows), len(rows), checksum(rows))

    with path.open("wb") as target:
        tiff = TiffFile(target, facts)
        for strip in in_order(make, row_bands(facts.rows, ROWS_PER_STRIP), workers):
            tiff.write(strip.code)
            digests.append(strip.digest)
            paced.add(strip.rows)
        tiff.close()
    return TiffRecord(path=path, facts=facts, digests=tuple(digests))
