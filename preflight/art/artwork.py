"""Artwork files: what a picture is, before any of its pixels are read."""

from __future__ import annotations

import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal

from PIL import Image, ImageFile, UnidentifiedImageError

from preflight.art.coded_colour import coded_colour
from preflight.art.crop import WHOLE, Crop, KeptPixels
from preflight.art.damage.picture_damage import PictureDamage, damaged_picture
from preflight.art.embedded_colour import IMAGE_FAULTS, embedded_colour
from preflight.art.picture_orientation import orientation_of
from preflight.art.source_colour import SourceColour
from preflight.art.unpacked_size import need_honest_size
from preflight.files.known_formats import format_found
from preflight.files.regular_files import open_regular
from preflight.input_problem import InputProblem

MOST_PIXELS = 600_000_000
LEAST_SIDE_PX = 8
_READABLE_MODES = {"1", "L", "LA", "P", "PA", "RGB", "RGBA", "RGBX", "CMYK", "YCbCr", "LAB",
                   "I;16", "I;16B", "I;16L", "I;16N"}
#: What is tried, in Pillow's words: formats that photographs and drawn sheets come in. Others,
#: some of which start further programs or are seldom mended, are never handed a stranger's file.
FORMATS = ("PNG", "JPEG", "TIFF", "WEBP", "BMP", "JPEG2000", "GIF", "PSD", "PPM", "AVIF")
_NO_CHECK_SUMS = {"JPEG2000": "JPEG 2000", "AVIF": "AVIF"}
_EXIF_ORIENTATION, _TIFF_BITS, _TIFF_PHOTOMETRIC, _TIFF_PLANAR, _TIFF_SUBFILE = (
    0x0112, 258, 262, 284, 254)
_PILLOW_LIMIT = threading.RLock()


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

    @property
    def uncropped(self) -> Artwork:
        """The whole picture."""
        return self if self.kept is None else replace(
            self, width_px=self.kept.whole_width, height_px=self.kept.whole_height, kept=None)

    @property
    def is_grey(self) -> bool:
        """Whether the stored pixels have one colour channel."""
        return self.mode in {"1", "L", "LA"} or self.mode.startswith("I;16")


def open_artwork(path: Path, *, accept_damage: bool = False, crop: Crop = WHOLE) -> Artwork:
    """Look at a picture: its size, depth, profile and orientation. Pixels are not decoded.

    Parameters
    ----------
    path : Path
        The file.
    accept_damage : bool
        Whether what is left of a damaged picture is to be read; else it is refused.
    crop : Crop
        What is cut off of it.

    Raises
    ------
    InputProblem
        When there is no such file, it is no picture, has several pages or frames, is smaller than
        8 pixels a side, cropped or not, or larger than 600 megapixels, or holds numbers this house
        does not print.
    """
    with opened_image(path, tolerant=accept_damage) as image:
        remarks: list[str] = []
        _need_one_page(path, image, remarks)
        width, height = image.size
        if min(width, height) < LEAST_SIDE_PX or width * height > MOST_PIXELS:
            raise InputProblem(where=str(path), found=f"{width} × {height} pixels",
                               would_do=f"{LEAST_SIDE_PX} pixels a side or more, up to "
                               f"{MOST_PIXELS // 1_000_000} megapixels,")
        if image.mode not in _READABLE_MODES:
            raise InputProblem(where=str(path), found=f"pixels of the kind {image.mode!r}",
                               would_do="grey, RGB or CMYK with 8 or 16 bits a channel")
        if image.mode in {"P", "PA"} and image.palette is None:
            raise damaged_picture(path, PictureDamage(says="its palette is missing", share=1.0))
        need_honest_size(path, width * height, image.mode, image.format or "")
        if image.format in _NO_CHECK_SUMS:
            remarks.append(f"{_NO_CHECK_SUMS[image.format]} keeps no check sums: damage within its "
                           "data goes unnoticed.")
        if image.format == "AVIF":
            remarks.append("An AVIF is read at 8 bits a channel, even if it holds more.")
        profile = image.info.get("icc_profile") or None
        bit_depth = _bit_depth(path, image, remarks)
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
            inverted=image.mode.startswith("I;16") and _tiff_tag(image, _TIFF_PHOTOMETRIC, 1) == 0,
            profile=profile, remarks=tuple(remarks), form=image.format or "",
            accepts_damage=accept_damage), crop)


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


@contextmanager
def opened_image(path: Path, *, tolerant: bool = False) -> Iterator[Image.Image]:
    """Open a file with Pillow under our own pixel limit; faults become `InputProblem`.

    Pillow is handed a stream and no name: of a named file it maps plain grey pixels straight into
    memory, which scrambles TIFF files whose orientation swaps rows and columns. ``tolerant`` lets
    it go on where parts of a picture are missing.
    """
    with _PILLOW_LIMIT, warnings.catch_warnings():
        warnings.simplefilter("ignore")  # remarks on odd but readable files
        pillow_limit, Image.MAX_IMAGE_PIXELS = Image.MAX_IMAGE_PIXELS, None
        strict, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, tolerant
        try:
            with open_regular(path, would_do="a picture") as file, \
                    Image.open(file, formats=FORMATS) as image:
                yield image
        except InputProblem:
            raise
        except MemoryError:
            raise InputProblem(
                where=str(path), found="a picture too large for this machine's free memory",
                would_do="a smaller picture, or a machine with more memory,") from None
        except UnidentifiedImageError:
            raise InputProblem(
                where=str(path), found=_format_of(path) or "something other than a picture",
                would_do="a PNG, JPEG, TIFF, WebP, AVIF or BMP file") from None
        except IMAGE_FAULTS as fault:
            raise broken_picture(path, fault) from None
        except RuntimeError as fault:  # Pillow's reader of AVIF has no other word
            if "thread" in str(fault):
                raise
            raise broken_picture(path, fault) from None
        finally:
            Image.MAX_IMAGE_PIXELS = pillow_limit
            ImageFile.LOAD_TRUNCATED_IMAGES = strict


def _format_of(path: Path) -> str | None:
    with open_regular(path, would_do="a picture") as file:
        return format_found(file.read(64))


def broken_picture(path: Path, fault: BaseException) -> InputProblem:
    """The `InputProblem` of a picture that cannot be decoded."""
    reason = " ".join(str(fault).split())[:120] or type(fault).__name__
    return InputProblem(where=str(path), found=f"a broken picture ({reason})",
                        would_do="a picture that opens whole")


def _need_one_page(path: Path, image: Image.Image, remarks: list[str]) -> None:
    pages = int(getattr(image, "n_frames", 1))
    if pages == 1 or image.format in {"MPO", "PSD"}:  # a camera's preview; layers
        if pages > 1:
            remarks.append(f"Of its {pages} pictures the first is read." if image.format == "MPO"
                           else "Its layers are read merged into one picture.")
        return
    if image.format == "TIFF":
        full = 0
        for page in range(pages):
            image.seek(page)
            full += not int(_tiff_tag(image, _TIFF_SUBFILE, 0)) & 1  # bit 0: a reduced copy
        image.seek(0)
        if full == 1 and not int(_tiff_tag(image, _TIFF_SUBFILE, 0)) & 1:
            remarks.append(f"Of its {pages} pages the first is read; the others are small copies.")
            return
    raise InputProblem(where=str(path), found=f"{pages} pages or frames",
                       would_do="a picture with a single page")


def _bit_depth(path: Path, image: Image.Image, remarks: list[str]) -> Literal[8, 16]:
    """16 when that many bits can be kept; Pillow itself drops them for RGB."""
    if image.mode.startswith("I;16"):
        return 16
    if image.mode not in {"RGB", "RGBA", "LA"}:
        return 8
    if image.format == "PNG":
        with open_regular(path, would_do="a picture") as file:
            return 16 if file.read(25)[24] == 16 else 8
    if image.format == "TIFF" and 16 in _as_tuple(_tiff_tag(image, _TIFF_BITS, 8)):
        if _tiff_tag(image, _TIFF_PLANAR, 1) != 1:
            raise InputProblem(where=str(path), found="16-bit channels stored plane by plane",
                               would_do="a TIFF with interleaved channels")
        if image.getexif().get(_EXIF_ORIENTATION, 1) == 1:
            return 16
        remarks.append("A turned TIFF is read with 8 bits a channel, not 16.")
    return 8


def _tiff_tag(image: Image.Image, tag: int, otherwise: int) -> int:
    tags = getattr(image, "tag_v2", None)
    value = otherwise if tags is None else tags.get(tag, otherwise)
    return int(_as_tuple(value)[0])


def _as_tuple(value: object) -> tuple[int, ...]:
    return tuple(value) if isinstance(value, tuple) else (int(str(value)),)
