"""A page of tones that another device is to screen: images in the inks' own colour spaces."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pikepdf
from numpy.typing import NDArray
from shapely import get_parts

from preflight.board.area_mask import Area
from preflight.frames.raster_grid import RasterGrid
from preflight.frames.tiled_plane import TiledPlane
from separations.films.deflate import BlockJoiner, code_block
from separations.films.document_facts import DocumentFacts
from separations.films.film_images import MOST_IMAGE_ROWS
from separations.films.film_label import LabelLine
from separations.films.film_page import Edges, MakeSpaces, PlacedImage, film_page, page_corners
from separations.films.film_sheet import FilmSheet
from separations.films.marks import WEDGE_PERCENT, marks, wedge_box
from separations.films.output_intent import OutputIntent
from separations.films.pdf_appendix import PdfAppendix
from separations.films.read_back import FilmReadBackError
from separations.films.strip_decoding import checksum, inflate_rows
from separations.halftone.film_bands import in_order, row_bands

_ROWS_PER_BAND = 512
#: Rows that a stencil repeats of the one above it; painting lines twice changes nothing.
_REPEATED_ROWS = 64
WEDGE_NAME = "Wedge"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkImage:
    """One image of such a page.

    Attributes
    ----------
    rows, columns : int
        Size in pixels.
    space : str or None
        Name of its colour space; None for a 1-bit stencil.
    samples : callable
        Its packed rows from one to another (exclusive), uint8; of a stencil, 1 = paint.
    bits : int
        To a component where it has a colour space: 8, or 16, the high byte first.
    """

    rows: int
    columns: int
    space: str | None
    samples: Callable[[int, int], NDArray[np.uint8]]
    bits: int = 8


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class UnscreenedPage:
    """All that such a page shows: its label, facts, colour spaces, images and their places.

    ``intent`` is the printing condition that its tones are made for, where there is one.
    """

    label: tuple[LabelLine, ...]
    facts: DocumentFacts
    spaces: MakeSpaces
    images: Mapping[str, InkImage]
    placed: tuple[PlacedImage, ...]
    intent: OutputIntent | None = None


def write_unscreened(path: Path, page: UnscreenedPage, sheet: FilmSheet, *,
                     workers: int = 2) -> str:
    """Write the page and read it back; SHA-256 of the file, in hex.

    Raises
    ------
    FilmReadBackError
        When the file does not hold the samples that it was given.
    """
    drawn = film_page(sheet, marks(sheet), page.label, page.placed, page.facts,
                      spaces=page.spaces, intent=page.intent, sixteen_bits=any(
                          image.bits == 16 for image in page.images.values()))
    digests = {}
    with path.open("wb") as target:
        appendix = PdfAppendix(target, drawn.document)
        for name, image in page.images.items():
            appendix.begin_stream(drawn.numbers[name], _entries(image, drawn.numbers))
            digests[name] = _write_samples(appendix, image, workers)
            appendix.end_stream()
        sha256 = appendix.close()
    _compare(path, page, digests)
    return sha256


def wedge(space: str, components: int) -> InkImage:
    """The tone wedge, one pixel a step, the same in every component."""
    steps = np.rint(np.array(WEDGE_PERCENT) / 100 * 255).astype(np.uint8)
    row = np.repeat(steps, components)[None]
    return InkImage(rows=1, columns=len(steps), space=space,
                    samples=lambda first, end: row[first:end])


def placed_wedge(sheet: FilmSheet) -> PlacedImage:
    """Where it goes."""
    return PlacedImage(WEDGE_NAME, wedge_box(sheet))


def edges_of(grid: RasterGrid, sheet: FilmSheet) -> Edges:
    """A grid's edges in page pixels."""
    page, scale = sheet.page_grid, sheet.scale
    left = page.column_of(grid.left_y_mm * scale.across)
    top = page.row_of(grid.top_x_mm * scale.along)
    pixels = grid.pixel_mm / page.pixel_mm
    return (left, top, left + grid.columns * pixels * scale.across,
            top + grid.rows * pixels * scale.along)


def clip_to(area: Area, sheet: FilmSheet) -> str:
    """Operators that let nothing be painted outside an area of the board, nor in its holes."""
    page, path, area = sheet.page_grid, [], sheet.scale.grown(area)
    for ring in (r for part in get_parts(area) for r in (part.exterior, *part.interiors)):
        for number, (x, y) in enumerate(ring.coords[:-1]):
            column, row = page.column_of(y), page.row_of(x)
            right, up, *_ = page_corners(sheet, (column, row, column, row))
            path.append(f"{right:.4f} {up:.4f} {'l' if number else 'm'}")
        path.append("h")
    return " ".join([*path, "W* n"])


def stencils(name: str, cover: TiledPlane, grid: RasterGrid,
             sheet: FilmSheet) -> dict[str, tuple[InkImage, Edges]]:
    """Line work as stencils, each no taller than viewers draw, with their places.

    Parameters
    ----------
    name : str
        What their names begin with.
    cover : TiledPlane
        Coverage, 255 = line; painted where it is half or more.
    grid : RasterGrid
        Where it lies.
    sheet : FilmSheet
        The board's sheet.
    """
    step = MOST_IMAGE_ROWS - _REPEATED_ROWS
    made = {}
    for number, first in enumerate(range(0, max(1, grid.rows - _REPEATED_ROWS), step), 1):
        end = min(first + MOST_IMAGE_ROWS, grid.rows)

        def samples(start: int, stop: int, first: int = first) -> NDArray[np.uint8]:
            return np.packbits(cover.window(first + start, first + stop) >= 128, axis=1)

        image = InkImage(rows=end - first, columns=grid.columns, space=None, samples=samples)
        made[f"{name}{number}"] = (image, edges_of(grid.band(first, end), sheet))
    return made


def _entries(image: InkImage, numbers: Mapping[str, int]) -> str:
    kind = ("/ImageMask true /BitsPerComponent 1 /Decode [1 0]" if image.space is None
            else f"/ColorSpace {numbers[image.space]} 0 R /BitsPerComponent {image.bits}")
    return (f"/Type /XObject /Subtype /Image /Width {image.columns} /Height {image.rows} {kind} "
            "/Interpolate false /Filter /FlateDecode")


def _write_samples(appendix: PdfAppendix, image: InkImage, workers: int) -> list[bytes]:
    joiner, digests = BlockJoiner(), []
    bands = row_bands(image.rows, _ROWS_PER_BAND)
    for samples in in_order(lambda band: np.ascontiguousarray(image.samples(*band)), bands,
                            workers):
        appendix.write(joiner.join(code_block(samples)))
        digests.append(checksum(samples))
    appendix.write(joiner.close())
    return digests


def _compare(path: Path, page: UnscreenedPage, digests: Mapping[str, list[bytes]]) -> None:
    try:
        with pikepdf.open(path) as pdf:
            found = pdf.pages[0].resources.XObject
            for name, image in page.images.items():
                heights = [end - first for first, end in row_bands(image.rows, _ROWS_PER_BAND)]
                stream = memoryview(found["/" + name].get_raw_stream_buffer())
                row_bytes = image.samples(0, 1).shape[1]
                for rows, digest in zip(inflate_rows((stream,), row_bytes, heights), digests[name],
                                        strict=True):
                    if checksum(rows) != digest:
                        raise FilmReadBackError(f"{path.name}: image {name} differs")
    except (pikepdf.PdfError, KeyError, OSError, zlib.error) as fault:
        raise FilmReadBackError(f"{path.name} cannot be read: {fault}") from fault
