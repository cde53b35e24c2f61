"""A PDF page as a picture: its size, its colours, and what bounds it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from preflight.art import pdf_photo
from preflight.art.artwork_pixels import load_pixels
from preflight.art.pdf_photo import drawn_at, open_pdf_artwork
from preflight.input_problem import InputProblem
from tests.pdf_pages import changed, halves, write_pdf


def test_it_is_drawn_at_the_size_asked_for(tmp_path: Path) -> None:
    page = open_pdf_artwork(write_pdf(tmp_path / "a.pdf", halves), None)
    assert (page.width_px, page.height_px) == (850, 228)
    larger = drawn_at(page, 3.7)
    pixels = load_pixels(larger)
    drawn = pixels.band(0, pixels.rows)
    assert drawn.shape == (844, 3145, 3)
    # DeviceRGB is taken as sRGB: the values are those that were set (ISO 32000-1, 8.6.4.3).
    assert drawn[50, 2000].tolist() == [51, 128, 204]
    assert drawn[800, 10].tolist() == [204, 153, 51]
    assert drawn[:370, :370].max() == 0
    assert drawn[50, 369].tolist() == [0, 0, 0]
    assert drawn[50, 371].tolist() == [51, 128, 204]
    assert page.colour.name == "sRGB"
    assert not page.colour.assumed


def test_it_is_drawn_to_the_box_that_is_asked_for(tmp_path: Path) -> None:
    """The trim box holds 70 points of the black square, and none of the lower half."""
    def boxes(pdf: pikepdf.Pdf) -> None:
        pdf.pages[0].obj.TrimBox = [30, 128, 830, 228]

    path = changed(write_pdf(tmp_path / "a.pdf", halves), boxes)
    page = drawn_at(open_pdf_artwork(path, None, "trim box"), 2.0)
    drawn = load_pixels(page).band(0, 200)
    assert drawn.shape == (200, 1600, 3)
    assert drawn[:, :139].max() == 0
    assert (drawn[:, 141:] == [51, 128, 204]).all()
    whole = load_pixels(drawn_at(open_pdf_artwork(path, None), 2.0)).band(0, 456)
    assert whole.shape == (456, 1700, 3)


def test_a_picture_s_own_profile_is_honoured(tmp_path: Path) -> None:
    """A picture whose profile swaps red and green is drawn with them swapped back."""
    profile = bytearray(_srgb_profile())
    red, green = profile.index(b"rXYZ"), profile.index(b"gXYZ")
    profile[red:red + 1], profile[green:green + 1] = b"g", b"r"

    def picture(canvas: Canvas) -> None:
        canvas.drawImage(ImageReader(Image.new("RGB", (8, 8), (220, 30, 40))), 0, 0, 850, 228)

    def profiled(pdf: pikepdf.Pdf) -> None:
        stream = pdf.make_stream(bytes(profile))
        stream.N = 3
        ((_, image),) = pdf.pages[0].obj.Resources.XObject.items()
        image.ColorSpace = pikepdf.Array([pikepdf.Name.ICCBased, stream])

    path = changed(write_pdf(tmp_path / "a.pdf", picture), profiled)
    drawn = load_pixels(open_pdf_artwork(path, None)).band(0, 9)[4, 400].astype(int)
    assert np.abs(drawn - [30, 220, 40]).max() < 40


def _srgb_profile() -> bytes:
    from PIL import ImageCms

    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def test_a_page_has_no_more_pixels_than_there_is_room_for(tmp_path: Path) -> None:
    page = open_pdf_artwork(write_pdf(tmp_path / "a.pdf", halves), None)
    most = drawn_at(page, 1000.0)
    assert 0.99 * pdf_photo.MOST_PIXELS < most.width_px * most.height_px \
        <= 1.001 * pdf_photo.MOST_PIXELS
    assert most.width_px / most.height_px == pytest.approx(850 / 228, rel=1e-3)


def test_a_page_that_takes_for_ever_is_given_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def busy(canvas: Canvas) -> None:
        for number in range(3000):
            canvas.setFillColorRGB(number / 3000, 0, 0)
            canvas.circle(400, 100, 100, fill=1)

    page = drawn_at(open_pdf_artwork(write_pdf(tmp_path / "a.pdf", busy), None), 4.0)
    monkeypatch.setattr(pdf_photo, "MOST_SECONDS", 0.0)
    with pytest.raises(InputProblem, match="takes more than 0 s to draw"):
        load_pixels(page)
