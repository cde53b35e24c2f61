"""The pictures of a run: the board's proof, a crop at dot level, and what is out of reach."""

from __future__ import annotations

import io
import zlib
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from preflight.findings import Place
from separations.proof.shown_pictures import ReportPicture

#: Longest side of the board's picture on the page (px), and a dot crop's size on the board (mm).
_PAGE_PICTURE_PX = 3600
DOT_CROP_MM = (9.0, 6.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DotCrop:
    """A crop of the films at dot level.

    Attributes
    ----------
    srgb : ndarray of uint8, shape (rows, columns, 3)
        Every film pixel in its overprint's colour.
    centre_mm : tuple of float
        Its middle on the board (x, y).
    """

    srgb: NDArray[np.uint8]
    centre_mm: tuple[float, float]


def png_bytes(srgb: NDArray[np.uint8], *, ppi: float | None = None) -> bytes:
    """A picture as PNG, the same bytes for the same pixels; a board's proof with its resolution.

    Wood never repeats itself: in a proof a search for what was there before takes twice the time
    and finds nothing.
    """
    stream = io.BytesIO()
    proof = {} if ppi is None else {"dpi": (ppi, ppi), "compress_type": zlib.Z_RLE}
    Image.fromarray(srgb).save(stream, "PNG", compress_level=4, **proof)
    return stream.getvalue()


def board_picture(proof: NDArray[np.uint8], title: str, varnish: str = "none") -> ReportPicture:
    """The board for the page.

    Parameters
    ----------
    proof : ndarray of uint8, shape (rows, columns, 3)
        The board, nose to the right.
    title : str
        What the art is called.
    varnish : str
        The coat that it is shown under, or ``none``.
    """
    coat = "" if varnish == "none" else f", under {varnish} varnish"
    return ReportPicture(
        data=_jpeg(_at_most(proof, _PAGE_PICTURE_PX)), media_type="image/jpeg", title="The board",
        alt=f"The printed board with {title}, nose to the right",
        caption=f"As it will look on bamboo{coat}, trimmed, nose to the right. The wood's "
                "figure is invented; its colour is the job's.")


def varnish_picture_of(before: NDArray[np.uint8], after: NDArray[np.uint8],
                       varnish: str) -> ReportPicture:
    """The board before its varnish and under it, for the page: both (rows, columns, 3)."""
    return ReportPicture(
        data=_jpeg(_at_most(np.concatenate((before, after)), _PAGE_PICTURE_PX // 2)),
        media_type="image/jpeg", is_wide=True,
        title="Before and after the varnish",
        alt=f"The printed board twice: without varnish, and under {varnish} varnish",
        caption=f"Top: the cured print; bottom: the same under {varnish} varnish, by the model: "
                "what the coat does to wood and inks, without the reflections of a room. Nose to "
                "the right.")


def dot_picture(crop: DotCrop, title: str) -> ReportPicture:
    """A close view for the page, with what it shows as its title."""
    x, y = crop.centre_mm
    across, along = DOT_CROP_MM
    place = Place(least_x_mm=x - along / 2, least_y_mm=y - across / 2,
                  greatest_x_mm=x + along / 2, greatest_y_mm=y + across / 2)
    return ReportPicture(
        data=png_bytes(crop.srgb), media_type="image/png", at_dot_level=True, title=title,
        alt=f"Halftone dots of all inks laid on each other: {title.lower()}",
        caption=f"{across:g} × {along:g} mm of the films laid on each other, every film pixel, "
                f"nose up, {place}.", place=place)


def reach_picture_of(reach: NDArray[np.uint8]) -> ReportPicture:
    """The map of what the inks do not reach, for the page: shape (rows, columns, 3)."""
    return ReportPicture(
        data=_jpeg(_at_most(reach, _PAGE_PICTURE_PX // 2)), media_type="image/jpeg", is_wide=True,
        title="Colours out of reach", alt="Map of colours that the inks cannot reach",
        caption="Where the print falls short of the colour aimed at: grey is within ΔE00 2, "
                "then ochre from 3 and red at 9 to black at 15 and more. Nose to the right.")


def beside_picture_of(beside: NDArray[np.uint8]) -> ReportPicture:
    """Photograph, print and what is seen, for the page: shape (rows, columns, 3)."""
    return ReportPicture(
        data=_jpeg(_at_most(beside, _PAGE_PICTURE_PX)), media_type="image/jpeg", is_wide=True,
        title="Photograph and print",
        alt="The photograph, its print on the wood, and the print as an eye on the wood sees it",
        caption="Top: the photograph; middle: its print as it is; bottom: the print as seen by an "
                "eye that takes the wood for white as far as the job says.")


def gamut_pictures_of(by_hue: NDArray[np.uint8],
                      by_lightness: NDArray[np.uint8]) -> tuple[ReportPicture, ReportPicture]:
    """The inks' reach against the photograph's colours, for the page."""
    return (
        ReportPicture(
            data=png_bytes(by_hue), media_type="image/png",
            title="What the inks can print, by hue", alt="Chart of colours: b* against a*",
            caption="The line encloses all that these inks can print on this wood. Each dot is a "
                    "colour of the photograph, as the print would need it to look the same; dots "
                    "outside the line were brought inside. Discs are the bare wood and the "
                    "solids."),
        ReportPicture(
            data=png_bytes(by_lightness), media_type="image/png",
            title="What the inks can print, by lightness", alt="Chart of colours: L* against C*",
            caption="The same seen from the side: light colours at the top, strong ones to the "
                    "right."))


def reach_map(delta_e: NDArray[np.float32], inside: NDArray[np.bool_]) -> NDArray[np.uint8]:
    """A map of colour differences (ΔE00, shape (rows, columns)), nose to the right.

    Returns
    -------
    ndarray of uint8, shape (columns, rows, 3)
        Grey where the colour is reached, through ochre and red to black at ΔE00 15.
    """
    stops = np.array([0.0, 2.0, 3.0, 9.0, 15.0])
    colours = np.array([[206, 208, 204], [206, 208, 204], [236, 168, 48], [190, 32, 28],
                        [24, 16, 20]], float)
    picture = np.dstack([np.interp(delta_e, stops, colours[:, c]) for c in range(3)])
    picture[~inside] = 255
    return np.ascontiguousarray(np.rot90(picture.astype(np.uint8), k=-1))


def _at_most(srgb: NDArray[np.uint8], longest_px: int) -> NDArray[np.uint8]:
    scale = longest_px / max(srgb.shape[:2])
    if scale >= 1:
        return srgb
    size = (max(1, round(srgb.shape[1] * scale)), max(1, round(srgb.shape[0] * scale)))
    return np.asarray(cv2.resize(srgb, size, interpolation=cv2.INTER_AREA), np.uint8)


def _jpeg(srgb: NDArray[np.uint8]) -> bytes:
    stream = io.BytesIO()
    Image.fromarray(srgb).save(stream, "JPEG", quality=88, subsampling=0)
    return stream.getvalue()
