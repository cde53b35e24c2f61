"""An artwork's pixels, handed out in bands of rows, in the file's own encoding and turn."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms

from preflight.art.artwork import Artwork
from preflight.art.chosen_page import tiff_page
from preflight.art.crop import stored_matrix
from preflight.art.damage.file_damage import file_damage, jpeg_bytes
from preflight.art.damage.jpeg_stream import jpeg_facts, jpeg_pixels, meant_by
from preflight.art.damage.picture_damage import damaged_picture
from preflight.art.deep_tiff import deep_pixels
from preflight.art.embedded_colour import build_transform
from preflight.art.icc_profile import read_profile
from preflight.art.opened_image import opened_image
from preflight.art.pdf_photo import page_pixels
from preflight.art.sixteen_bits import right_way_round, sixteen_bits
from preflight.art.tiff_page import TiffPage

Pixels = NDArray[np.uint8] | NDArray[np.uint16]
#: A JPEG is decoded at half, quarter or eighth size only where that leaves this much to reduce.
_LEAST_LEFT_TO_REDUCE = 2.0
#: Pixels copied out of the decoder's picture at a time: few enough that each copy reuses the memory
#: of the one before, which costs far less than new pages.
_BAND_PIXELS = 250_000
#: Below this many file pixels to a wanted one, every picture is decoded at its own size.
LEAST_SHRINK_TO_REDUCE = 2 * _LEAST_LEFT_TO_REDUCE


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ArtPixels:
    """A decoded picture.

    Attributes
    ----------
    artwork : Artwork
        Its facts.
    rows, columns : int
        Stored size, before EXIF orientation, after any reduced decoding.
    channels : int
        1 grey, 2 grey and alpha, 3 RGB, 4 RGB and alpha (straight).
    top : int
        255 or 65535: the greatest value.
    reduction : int
        1, 2, 4 or 8: file pixels along each side of a decoded one.
    """

    artwork: Artwork
    rows: int
    columns: int
    channels: int
    top: int
    reduction: int
    _image: Image.Image | None
    _array: NDArray[np.uint16] | None
    _transform: ImageCms.ImageCmsTransform | None
    _ready: NDArray[np.uint8] | None = None
    _decoded: NDArray[np.uint8] | None = None

    @property
    def has_alpha(self) -> bool:
        """Whether the last channel is alpha."""
        return self.channels in {2, 4}

    def band(self, first_row: int, end_row: int) -> Pixels:
        """Rows ``first_row`` to ``end_row`` (exclusive), shape (n, columns, channels).

        uint8 where ``top`` is 255, else uint16.
        """
        if self._ready is not None:
            return self._ready[first_row:end_row]
        if self._array is not None:
            return right_way_round(self._array[first_row:end_row])
        if self._decoded is not None:
            rows = self._decoded[first_row:end_row]
            return _eight_bits(Image.fromarray(rows.squeeze(2) if rows.shape[2] == 1 else rows),
                               self.channels, self._transform)
        assert self._image is not None
        piece = self._image.crop((0, first_row, self.columns, end_row))
        if piece.mode.startswith("I;16"):
            wide = np.asarray(piece).astype(np.uint16, copy=False)[:, :, None]
            return self.top - wide if self.artwork.inverted else wide
        return _eight_bits(piece, self.channels, self._transform)

    def made_ready(self) -> ArtPixels:
        """The same picture with 8-bit bands made once; others make theirs at each asking."""
        if self.top != 255 or self._ready is not None:
            return self
        ready = np.empty((self.rows, self.columns, self.channels), np.uint8)
        for first, end in self._bands():
            ready[first:end] = self.band(first, end)
        return replace(self, _image=None, _decoded=None, _ready=ready)

    def cropped_to(self, artwork: Artwork) -> ArtPixels:
        """What is kept of this whole picture for a crop of it; the pixels are not copied."""
        if artwork.kept is None:
            return self
        rows, columns = artwork.kept.stored(artwork.orientation)

        def part(pixels: Pixels | None) -> Any:
            return None if pixels is None else pixels[rows, columns]

        image = self._image and self._image.crop((columns.start, rows.start, columns.stop,
                                                  rows.stop))
        return replace(self, artwork=artwork, rows=rows.stop - rows.start,
                       columns=columns.stop - columns.start, _image=image,
                       _array=part(self._array), _ready=part(self._ready),
                       _decoded=part(self._decoded))

    def _bands(self) -> list[tuple[int, int]]:
        step = max(1, _BAND_PIXELS // self.columns)
        return [(row, min(row + step, self.rows)) for row in range(0, self.rows, step)]

    @property
    def uses_alpha(self) -> bool:
        """Whether any pixel is less than opaque."""
        if not self.has_alpha:
            return False
        return any(int(self.band(first, end)[:, :, -1].min()) < self.top
                   for first, end in self._bands())

    @property
    def from_art(self) -> NDArray[np.float64]:
        """The 3 × 3 matrix from art pixel coordinates (u, v, 1) to stored (column, row, 1)."""
        matrix = stored_matrix(self.artwork.orientation, self.artwork.width_px,
                               self.artwork.height_px)
        return np.concatenate([matrix / self.reduction, [[0.0, 0.0, 1.0]]])


class LoadPixels(Protocol):
    """Whatever decodes a picture as `preflight.art.artwork_pixels.load_pixels` does."""

    def __call__(self, artwork: Artwork, *, shrink: float = 1.0) -> ArtPixels:
        """The picture, not much finer than wanted where that is quicker."""


def load_pixels(artwork: Artwork, *, shrink: float = 1.0) -> ArtPixels:
    """Decode a picture.

    Parameters
    ----------
    artwork : Artwork
        What to decode.
    shrink : float
        File pixels to one wanted pixel; a JPEG far finer than wanted is decoded smaller, unless
        it is cropped.

    Raises
    ------
    InputProblem
        When the file is cut short or damaged, and that is not accepted; or nothing of it can be
        decoded.
    """
    if artwork.kept is not None:
        return load_pixels(artwork.uncropped).cropped_to(artwork)
    if artwork.page:
        return _loaded_page(artwork)
    if artwork.form in {"JPEG", "MPO"}:
        loaded = _loaded_jpeg(artwork, shrink)
        if loaded is not None:
            return loaded
    damage = file_damage(artwork)
    if damage is not None and not artwork.accepts_damage:
        raise damaged_picture(artwork.path, damage)
    page = tiff_page(artwork.path, artwork.directory) if artwork.form == "TIFF" else None
    sixteen = artwork.bit_depth == 16 and not artwork.mode.startswith("I;16")
    if page is not None and (page.is_deep or (sixteen and artwork.directory)):
        return _of_deep_tiff(artwork, page)
    if sixteen:
        return _loaded_deep(artwork)
    with opened_image(artwork.path, tolerant=artwork.accepts_damage,
                      page=artwork.directory) as image:
        stored_columns = image.size[0]
        _draft(image, shrink)
        image.load()
        columns, rows = image.size
        return ArtPixels(
            artwork=artwork, rows=rows, columns=columns, channels=_channels(artwork),
            top=65535 if artwork.bit_depth == 16 else 255,
            reduction=max(1, round(stored_columns / columns)), _image=image, _array=None,
            _transform=_transform(artwork))


def _draft(image: Image.Image, shrink: float) -> None:
    """Have a JPEG decoded smaller where that leaves enough."""
    if image.format in {"JPEG", "MPO"} and shrink >= LEAST_SHRINK_TO_REDUCE:
        wanted = _LEAST_LEFT_TO_REDUCE / shrink
        image.draft(image.mode, (math.ceil(image.size[0] * wanted),
                                 math.ceil(image.size[1] * wanted)))


def _transform(artwork: Artwork) -> ImageCms.ImageCmsTransform | None:
    if not artwork.converts_colour:
        return None
    lab = artwork.mode == "LAB"
    space = "LAB" if lab or artwork.profile is None else read_profile(artwork.profile).space
    mode = artwork.mode if artwork.mode in {"CMYK", "LAB"} else "RGB"
    return build_transform(None if lab else artwork.profile, mode, space)


def _channels(artwork: Artwork) -> int:
    grey = artwork.is_grey and not artwork.converts_colour
    return (1 if grey else 3) + artwork.has_alpha


def _loaded_jpeg(artwork: Artwork, shrink: float) -> ArtPixels | None:
    """A grey or RGB JPEG, every warning of its decoder heard; None for what Pillow alone reads."""
    data = jpeg_bytes(artwork)
    facts = jpeg_facts(data)
    if facts is None or artwork.mode not in {"L", "RGB"}:
        return None
    with opened_image(artwork.path, tolerant=artwork.accepts_damage) as image:
        whole = image.size[0]
        _draft(image, shrink)
        columns, rows = image.size
    reduction = max(1, round(whole / columns))
    try:
        pixels = jpeg_pixels(data, facts, rows, columns, reduction,
                             strict=not artwork.accepts_damage)
    except ValueError as fault:
        if artwork.accepts_damage:
            return None
        raise damaged_picture(artwork.path, meant_by(fault)) from None
    if pixels is None or pixels.shape[2] != (1 if artwork.mode == "L" else 3):
        return None
    transform = _transform(artwork)
    return ArtPixels(
        artwork=artwork, rows=rows, columns=columns, channels=_channels(artwork), top=255,
        reduction=reduction, _image=None, _array=None, _transform=transform,
        _ready=pixels if transform is None else None,
        _decoded=None if transform is None else pixels)


def _loaded_page(artwork: Artwork) -> ArtPixels:
    """A page of a PDF, drawn at the size that the artwork has."""
    pixels = page_pixels(artwork)
    return ArtPixels(artwork=artwork, rows=len(pixels), columns=pixels.shape[1], channels=3,
                     top=255, reduction=1, _image=None, _array=None, _transform=None, _ready=pixels)


def _of_deep_tiff(artwork: Artwork, page: TiffPage) -> ArtPixels:
    """What only our own reading of a TIFF gives rightly, as pages behind the first."""
    array = deep_pixels(artwork.path, page, linear=artwork.linear, tolerant=artwork.accepts_damage)
    known = ArtPixels(
        artwork=artwork, rows=page.rows, columns=page.columns, channels=array.shape[2], top=65535,
        reduction=1, _image=None, _array=array, _transform=None)
    if not artwork.converts_colour:
        return known
    decoded = np.empty(array.shape, np.uint8)
    for first, end in known._bands():
        decoded[first:end] = (known.band(first, end).astype(np.uint32) + 128) // 257
    return replace(known, channels=_channels(artwork), top=255, _array=None, _decoded=decoded,
                   _transform=_transform(artwork))


def _loaded_deep(artwork: Artwork) -> ArtPixels:
    """16-bit RGB, which Pillow would cut to 8."""
    array = sixteen_bits(artwork)
    return ArtPixels(artwork=artwork, rows=len(array), columns=array.shape[1],
                     channels=array.shape[2], top=65535, reduction=1, _image=None, _array=array,
                     _transform=None)


def _eight_bits(piece: Image.Image, channels: int,
                transform: ImageCms.ImageCmsTransform | None) -> NDArray[np.uint8]:
    """A band in 1 to 4 channels of 8 bits, converted to sRGB where a transform is given."""
    alpha = channels in {2, 4}
    if transform is None:
        mode = ("L", "LA", "RGB", "RGBA")[channels - 1]
        plain = piece if piece.mode == mode else piece.convert(mode)
        pixels = np.asarray(plain)
        return pixels.reshape(*pixels.shape[:2], channels)
    source = piece.convert(transform.input_mode) if piece.mode not in {"CMYK", "LAB"} else piece
    rgb = ImageCms.applyTransform(source, transform)
    assert rgb is not None
    if alpha:
        return np.dstack([np.asarray(rgb), np.asarray(piece.convert("RGBA").getchannel("A"))])
    return np.asarray(rgb)
