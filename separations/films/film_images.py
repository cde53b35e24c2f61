"""A film's dots as a stack of 1-bit images: shared out, screened, counted, coded and written.

Workers screen and code bands apart; the writer joins their code in order and writes it through,
so memory holds a few bands whatever the film's size.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from separations.films.deflate import BlockJoiner, CodedBlock, code_block
from separations.films.film_record import Coding, ImagePart, StripTrace
from separations.films.group4 import CodedStrip, StripJoiner, code_rows
from separations.films.pdf_appendix import PdfAppendix
from separations.films.strip_decoding import checksum
from separations.halftone.film_bands import in_order, row_bands
from separations.halftone.screening import Prepared, screen_region
from separations.halftone.tone_levels import cell_pixels, count_cells
from separations.runtime.progress import PacedProgress

#: Most rows of an image: cairo, and so the viewers built on it, draws a taller one blank.
MOST_IMAGE_ROWS = 32_767
#: Most columns of a Group 4 image: beyond it PDFium draws nothing, silently.
MOST_GROUP4_COLUMNS = 65_535
#: Most pixels of any image: beyond a signed 32-bit count of bits PDFium draws it wrongly.
MOST_IMAGE_PIXELS = 2**31 - 1
ROWS_PER_BAND = 256
#: Rows that an image repeats of the one above it, which it covers. A viewer blurs each image's
#: edge by itself as it shrinks it; over a repeat of more than a screen pixel nothing shows of it.
REPEATED_ROWS = 2 * ROWS_PER_BAND


class _Band(NamedTuple):
    """A band of one image: its rows, whether it is the image's first, or repeats another's."""

    first_row: int
    end_row: int
    is_first: bool
    is_repeat: bool


class _MadeBand(NamedTuple):
    """A band's code, its digest and last row, and its ink by coarse cell."""

    code: CodedStrip | CodedBlock
    digest: bytes
    last_row: bytes
    counts: NDArray[np.int64]


def stacked_parts(rows: int, columns: int) -> tuple[ImagePart, ...]:
    """The film in as few images as readers take, of nearly one height, not yet written.

    Each image but the first repeats the last `REPEATED_ROWS` rows of the one above.
    """
    most_rows = min(MOST_IMAGE_ROWS, MOST_IMAGE_PIXELS // columns)
    count = 1 if rows <= most_rows else -(-rows // (most_rows - REPEATED_ROWS - ROWS_PER_BAND))
    starts = [rows * k // count // ROWS_PER_BAND * ROWS_PER_BAND for k in range(count)]
    return tuple(
        ImagePart(name=f"Film{number + 1}", first_row=max(0, start - REPEATED_ROWS),
                  first_new_row=start, end_row=end, strips=())
        for number, (start, end) in enumerate(zip(starts, [*starts[1:], rows], strict=True)))


def image_entries(rows: int, columns: int, coding: Coding) -> str:
    """Dictionary of a 1-bit image, black on opaque white.

    Not an image mask: where two masks meet, the viewer's blurred edges add up to a line across
    the board, while an opaque image covers what it repeats. Group 4 decodes ink to 0, which is
    black; deflated rows hold ink as 1, so there ``Decode`` swaps the two.
    """
    entries = (f"/Type /XObject /Subtype /Image /Width {columns} /Height {rows} "
               "/ColorSpace /DeviceGray /BitsPerComponent 1 /Interpolate false ")
    if coding == "group4":
        return entries + (f"/Filter /CCITTFaxDecode /DecodeParms << /K -1 /Columns {columns} "
                          f"/Rows {rows} >>")
    return entries + "/Decode [1 0] /Filter /FlateDecode"


def write_image(appendix: PdfAppendix, screening: Prepared, part: ImagePart, coding: Coding,
                counts: NDArray[np.int64], paced: PacedProgress, *,
                workers: int) -> ImagePart:
    """Write one image's stream and add its new rows' ink to ``counts``.

    Returns
    -------
    ImagePart
        The image with the traces of its strips.
    """
    side = cell_pixels(screening.content.film_grid)
    strips = StripJoiner()
    blocks = BlockJoiner()
    traces = []
    bands = _bands(part)
    for band, made in zip(bands, _made(screening, bands, coding, workers), strict=True):
        first_bit = strips.bits
        if isinstance(made.code, CodedStrip):
            appendix.write(strips.join(made.code))
        else:
            appendix.write(blocks.join(made.code))
        if not band.is_repeat:
            first_cell = band.first_row // side
            counts[first_cell:first_cell + len(made.counts)] += made.counts
            paced.add(band.end_row - band.first_row)
        traces.append(StripTrace(band.first_row, band.end_row, first_bit, strips.bits,
                                 made.digest, made.last_row))
    appendix.write(strips.close() if coding == "group4" else blocks.close())
    return part._replace(strips=tuple(traces))


def dots_digest(parts: Iterable[ImagePart]) -> str:
    """SHA-256 over the digests of all strips, repeats left out, in hex."""
    return hashlib.sha256(b"".join(
        strip.digest for part in parts for strip in part.strips
        if strip.first_row >= part.first_new_row)).hexdigest()


def _bands(part: ImagePart) -> list[_Band]:
    rows = [(part.first_row + first, part.first_row + end)
            for first, end in row_bands(part.end_row - part.first_row, ROWS_PER_BAND)]
    return [_Band(first, end, first == part.first_row, first < part.first_new_row)
            for first, end in rows]


def _made(screening: Prepared, bands: list[_Band], coding: Coding,
          workers: int) -> Iterable[_MadeBand]:
    grid = screening.content.film_grid
    side = cell_pixels(grid)
    cell_columns = -(-grid.columns // side)

    def make(band: _Band) -> _MadeBand:
        lead = 0 if band.is_first else 1
        screened = screen_region(screening, band.first_row - lead, band.end_row)
        rows = screened[lead:]
        above = screened[0] if lead else np.zeros_like(screened[0])
        counts = np.zeros(((band.end_row - 1) // side - band.first_row // side + 1, cell_columns),
                          np.int64)
        count_cells(rows, band.first_row % side, side, counts)
        code = code_rows(rows, above, grid.columns) if coding == "group4" else code_block(rows)
        return _MadeBand(code, checksum(rows), rows[-1].tobytes(), counts)

    return in_order(make, bands, workers)
