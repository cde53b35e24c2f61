"""A page of a PDF as a picture, drawn at the resolution that is asked for."""

from __future__ import annotations

import ctypes
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preflight.art.artwork import LEAST_SIDE_PX, Artwork
from preflight.art.source_colour import srgb
from preflight.files.pdf_file import CROP_BOX, open_page
from preflight.files.pdfium_door import pdfium_page
from preflight.files.regular_files import bytes_of
from preflight.input_problem import InputProblem

#: A page is drawn with no more pixels than this: three metres of board at 200 ppi have half.
MOST_PIXELS = 200_000_000
#: A page that takes longer (s) is given up. Own rule: the largest drawings tried took a tenth.
MOST_SECONDS = 120.0
_MOST_BYTES = 300_000_000
_WHITE = 0xFFFFFFFF


def open_pdf_artwork(path: Path, number: int | None, boundary: str = CROP_BOX) -> Artwork:
    """Look at a page as a picture with one pixel to a point; see `drawn_at`.

    ``boundary`` is the box of the page to which it is read.

    Raises
    ------
    InputProblem
        As `preflight.files.pdf_file.open_page`.
    """
    page = open_page(path, number, boundary=boundary)
    width, height = (max(LEAST_SIDE_PX, round(side)) for side in (page.width_pt, page.height_pt))
    return Artwork(
        path=path, width_px=width, height_px=height, bit_depth=8, mode="RGB", has_profile=True,
        profile_name="the page's own colours, as sRGB", has_alpha=False,
        colour=srgb(assumed=False), remarks=page.remarks, form="PDF", page=page.number,
        page_box=None if boundary == CROP_BOX else page.box)


def drawn_at(artwork: Artwork, times: float) -> Artwork:
    """The same page with so many times the pixels along each side, as far as there is room."""
    width, height = artwork.width_px * times, artwork.height_px * times
    room = min(1.0, (MOST_PIXELS / (width * height)) ** 0.5)
    return replace(artwork, width_px=max(LEAST_SIDE_PX, round(width * room)),
                   height_px=max(LEAST_SIDE_PX, round(height * room)))


def page_pixels(artwork: Artwork) -> NDArray[np.uint8]:
    """Draw the page on white, shape (rows, columns, 3), sRGB.

    Raises
    ------
    InputProblem
        When it cannot be drawn, or takes too long.
    """
    import pypdfium2.raw as pdfium

    data = bytes_of(artwork.path, _MOST_BYTES, would_do="a PDF of at most 300 MB")
    rows, columns = artwork.height_px, artwork.width_px
    pixels = np.full((rows, columns, 3), 255, np.uint8)
    ends = time.monotonic() + MOST_SECONDS
    with pdfium_page(artwork.path, data, artwork.page, artwork.page_box) as page:
        bitmap = pdfium.FPDFBitmap_CreateEx(columns, rows, pdfium.FPDFBitmap_BGR,
                                            pixels.ctypes.data_as(ctypes.c_void_p), columns * 3)
        try:
            pdfium.FPDFBitmap_FillRect(bitmap, 0, 0, columns, rows, _WHITE)
            pause = _pause_after(ends)
            state = pdfium.FPDF_RenderPageBitmap_Start(
                bitmap, page, 0, 0, columns, rows, 0, pdfium.FPDF_REVERSE_BYTE_ORDER, pause)
            while state == pdfium.FPDF_RENDER_TOBECONTINUED and time.monotonic() < ends:
                state = pdfium.FPDF_RenderPage_Continue(page, pause)
            pdfium.FPDF_RenderPage_Close(page)
        finally:
            pdfium.FPDFBitmap_Destroy(bitmap)
    if state != pdfium.FPDF_RENDER_DONE:
        late = state == pdfium.FPDF_RENDER_TOBECONTINUED
        raise InputProblem(
            where=str(artwork.path), found="a page that takes more than "
            f"{MOST_SECONDS:.0f} s to draw" if late else "a page that cannot be drawn",
            would_do="a simpler PDF, or the page as a picture")
    return pixels


def _pause_after(ends: float) -> Any:
    """What PDFium asks whether to stop for a while: only when time is up."""
    import pypdfium2.raw as pdfium

    pause = pdfium.IFSDK_PAUSE()
    pause.version = 1
    asked = type(pause.NeedToPauseNow)
    pause.NeedToPauseNow = asked(lambda _: int(time.monotonic() > ends))
    return pause
