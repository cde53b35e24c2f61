"""Artwork files: what a picture is, before any of its pixels are read."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal

from PIL import Image

from preflight.art.chosen_page import chosen_page
from preflight.art.coded_colour import coded_colour
from preflight.art.crop import WHOLE, Crop, KeptPixels
from preflight.art.damage.picture_damage import PictureDamage, damaged_picture
from preflight.art.deep_tiff import need_readable
from preflight.art.embedded_colour import embedded_colour
from preflight.art.opened_image import opened_image
from preflight.art.picture_orientation import orientation_of
from preflight.art.source_colour import SRGB_CURVE, SourceColour
from preflight.art.tiff_page import TiffPage
from preflight.art.unpacked_size import need_honest_size
from preflight.files.regular_files import open_regular
from preflight.input_problem import InputProblem

MOST_PIXELS = 600_000_000
LEAST_SIDE_PX = 8
_READABLE_MODES = {"1", "L", "LA", "P", "PA", "RGB", "RGBA", "RGBX", "CMYK", "YCbCr", "LAB",
                   "I;16", "I;16B", "I;16L", "I;16N"}
_LAYERED = "Its layers are read merged into one picture."
_NO_CHECK_SUMS = {"JPEG2000": "JPEG 2000", "AVIF": "AVIF"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Artwork:
    """A picture file's facts.

    Attributes
    ----------
    path : Path
        The file.
    width_px, height_px : int
        Size as it is looked at, that is after the camera's orientation is honoured and what is
        cropped is cut off.
    bit_depth : int
        8 or 16 bits a channel, as far as they can be kept.
    mode : str
        The file's channels in Pillow's words, e.g. ``RGB``, ``LA``, ``CMYK``, ``I;16``.
    has_profile : bool
        Whether a colour profile is embedded.
    profile_name : str
        Its description; empty without one.
    has_alpha : bool
        Whether parts may be transparent (straight alpha: where it is 0 there is no art).
    colour : SourceColour
        The meaning of the pixels as `preflight.art.artwork_pixels` delivers them.
    converts_colour : bool
        Pixels are converted to sRGB (8 bits) on reading, since the profile is no plain RGB one.
    orientation : int
        EXIF orientation 1 to 8 that the stored pixels still need.
    inverted : bool
        Stored values run from white to black.
    remarks : tuple of str
        What a careful reader should know, one plain sentence each.
    content : str
        A digest of what the file held when it was looked at; empty where nobody asked for it.
    form : str
        The file's format in Pillow's words, e.g. ``JPEG``, or ``PDF``.
    accepts_damage : bool
        Whether what is left of a damaged picture is to be read.
    kept : KeptPixels or None
        The part that is kept of a cropped picture; None for all of it.
    page : int
        Of a PDF, which page, from 1; of other pictures 0.
    page_box : tuple of float or None
        Of a page that is not read to its crop box, what is read of it: left, low, right and upper
        edge in its user space (points).
    directory : int
        Of a TIFF, which of its pages, from 0.
    linear : bool
        The file's numbers are linear light, and `colour` is what they are handed out in.
    """

    path: Path
    width_px: int
    height_px: int
    bit_depth: Literal[8, 16]
    mode: str
    has_profile: bool
    profile_name: str
    has_alpha: bool
    colour: SourceColour
    converts_colour: bool = False
    orientation: int = 1
    inverted: bool = False
    profile: bytes | None = field(default=None, repr=False)
    remarks: tuple[str, ...] = ()
    content: str = ""
    form: str = ""
    accepts_damage: bool = False
    page: int = 0
    page_box: tuple[float, float, float, float] | None = None
    kept: KeptPixels | None = None
    directory: int = 0
    linear: bool = False

    @property
    def uncropped(self) -> Artwork:
        """The whole picture."""
        return self if self.kept is None else replace(
            self, width_px=self.kept.whole_width, height_px=self.kept.whole_height, kept=None)

    @property
    def is_grey(self) -> bool:
        """Whether the stored pixels have one colour channel."""
        return self.mode in {"1", "L", "LA"} or self.mode.startswith("I;16")


def open_artwork(path: Path, *, accept_damage: bool = False, crop: Crop = WHOLE,
                 page: int | None = None) -> Artwork:
    """Look at a picture: its size, depth, profile and orientation. Pixels are not decoded.

    Parameters
    ----------
    path : Path
        The file.
    accept_damage : bool
        Whether what is left of a damaged picture is to be read; else it is refused.
    crop : Crop
        What is cut off of it.
    page : int or None
        Which page of a TIFF is meant, from 1; None for the only one.

    Raises
    ------
    InputProblem
        When there is no such file or page, it is no picture, has several pages or frames and
        nobody says which, is smaller than 8 pixels a side, cropped or not, or larger than 600
        megapixels, or holds numbers that are not read.
    """
    remarks: list[str] = []
    chosen = chosen_page(path, page, remarks)
    directory, of_tiff = chosen or (0, None)
    if of_tiff is not None and of_tiff.is_deep:
        return cropped_artwork(replace(_deep_artwork(path, of_tiff, remarks), directory=directory,
                                       accepts_damage=accept_damage), crop)
    with opened_image(path, tolerant=accept_damage, page=directory) as image:
        if of_tiff is None:
            _need_one_page(path, image, page, remarks)
        elif of_tiff.has_layers:
            remarks.append(_LAYERED)
        width, height = image.size
        _need_fair_size(path, width, height)
        if image.mode not in _READABLE_MODES:
            raise InputProblem(where=str(path), found=f"pixels of the kind {image.mode!r}",
                               would_do="grey, RGB or CMYK with 8 or 16 bits a channel")
        if image.mode in {"P", "PA"} and image.palette is None:
            raise damaged_picture(path, PictureDamage(says="its palette is missing", share=1.0))
        need_honest_size(path, width * height, image.mode, image.format or "")
        if image.format in _NO_CHECK_SUMS:
            remarks.append(f"{_NO_CHECK_SUMS[image.format]} keeps no checksums: damage within its "
                           "data goes unnoticed.")
        if image.format == "AVIF":
            remarks.append("An AVIF is read at 8 bits a channel, even if it holds more.")
        profile = image.info.get("icc_profile") or None
        bit_depth = _bit_depth(path, image, of_tiff)
        told = coded_colour(path, image.format or "", has_profile=profile is not None)
        colour, name, converts = (told, told.name, False) if told else embedded_colour(
            image.mode, profile, remarks)
        if converts:
            bit_depth = 8
        orientation = orientation_of(path, image)
        if orientation >= 5:
            width, height = height, width
        return cropped_artwork(Artwork(
            path=path, width_px=width, height_px=height, bit_depth=bit_depth, mode=image.mode,
            has_profile=profile is not None or told is not None, profile_name=name,
            has_alpha=image.has_transparency_data,
            colour=colour, converts_colour=converts, orientation=orientation,
            inverted=(image.mode.startswith("I;16") and of_tiff is not None
                      and of_tiff.photometric == 0),
            profile=profile, remarks=tuple(remarks), form=image.format or "",
            accepts_damage=accept_damage, directory=directory), crop)


def _deep_artwork(path: Path, page: TiffPage, remarks: list[str]) -> Artwork:
    """A page of a TIFF whose pixels `preflight.art.deep_tiff` reads."""
    need_readable(path, page)
    width, height = page.columns, page.rows
    _need_fair_size(path, width, height)
    mode = ("L" if page.colours == 1 else "RGB") + ("A" if page.alpha != "none" else "")
    need_honest_size(path, width * height, "RGB", "TIFF")
    if page.has_layers:
        remarks.append(_LAYERED)
    colour, name, converts = embedded_colour(mode, page.profile, remarks)
    linear = False
    if page.kind == "float":
        remarks.append("Floating point is read at 16 bits a channel; values beyond black or white "
                       "are clipped.")
        if colour.assumed:
            raise InputProblem(where=str(path), found="a TIFF of floating point whose colour "
                               "profile cannot be used", would_do="a valid profile embedded")
        linear = colour.is_linear and not converts
    if page.orientation >= 5:
        width, height = height, width
    return Artwork(
        path=path, width_px=width, height_px=height, bit_depth=8 if converts else 16, mode=mode,
        has_profile=page.profile is not None, profile_name=name, has_alpha=page.alpha != "none",
        colour=replace(colour, curves=(SRGB_CURVE,) * 3) if linear else colour,
        converts_colour=converts, orientation=page.orientation, profile=page.profile,
        remarks=tuple(remarks), form="TIFF", linear=linear)


def _need_fair_size(path: Path, width: int, height: int) -> None:
    if min(width, height) < LEAST_SIDE_PX or width * height > MOST_PIXELS:
        raise InputProblem(where=str(path), found=f"{width} × {height} pixels",
                           would_do=f"{LEAST_SIDE_PX} pixels a side or more, up to "
                           f"{MOST_PIXELS // 1_000_000} megapixels,")


def cropped_artwork(artwork: Artwork, crop: Crop) -> Artwork:
    """A whole picture with parts cut off at its sides.

    Raises
    ------
    InputProblem
        When it leaves less than 8 pixels a side.
    """
    kept = crop.kept(artwork.width_px, artwork.height_px)
    if kept is None:
        return artwork
    if min(kept.width, kept.height) < LEAST_SIDE_PX:
        raise InputProblem(
            where=str(artwork.path),
            found=f"a crop that leaves {kept.width} × {kept.height} pixels",
            would_do=f"a crop that leaves {LEAST_SIDE_PX} pixels a side or more")
    return replace(artwork, width_px=kept.width, height_px=kept.height, kept=kept)


def _need_one_page(path: Path, image: Image.Image, page: int | None, remarks: list[str]) -> None:
    """Of formats other than TIFF."""
    pages = int(getattr(image, "n_frames", 1))
    if page is not None:
        raise InputProblem(where=str(path), found=f"page = {page} of a {image.format}",
                           would_do="a page of a PDF or TIFF")
    if pages == 1:
        return
    if image.format not in {"MPO", "PSD"}:  # a camera's preview; layers
        raise InputProblem(where=str(path), found=f"{pages} pages or frames",
                           would_do="a picture with a single page")
    remarks.append(f"It holds {pages} pictures; the first is read." if image.format == "MPO"
                   else _LAYERED)


def _bit_depth(path: Path, image: Image.Image, page: TiffPage | None) -> Literal[8, 16]:
    """16 when that many bits can be kept; Pillow itself drops them for RGB."""
    if image.mode.startswith("I;16"):
        return 16
    if image.mode not in {"RGB", "RGBA", "LA"}:
        return 8
    if image.format == "PNG":
        with open_regular(path, would_do="a picture") as file:
            return 16 if file.read(25)[24] == 16 else 8
    return 16 if page is not None and page.bits == 16 else 8
