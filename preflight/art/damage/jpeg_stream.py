"""JPEG files decoded with every warning heard."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import simplejpeg
from numpy.typing import NDArray

from preflight.art.damage.picture_damage import PictureDamage

#: Pixels along and down that one unit of coded data covers, by how colours are subsampled.
#: Source: ITU-T T.81, clause A.2.
_UNITS = {"444": (8, 8), "422": (16, 8), "420": (16, 16), "440": (8, 16), "411": (32, 8),
          "441": (8, 32), "Gray": (8, 8)}
_SPACES = {"Gray": "GRAY", "CMYK": "CMYK", "YCCK": "CMYK"}
#: What the decoder says, and what it means.
_MEANINGS = (("premature end of jpeg file", "its end is missing"),
             ("premature end of data", "coded data is missing"),
             ("extraneous bytes", "coded data is left over"),
             ("bad huffman code", "its coded data makes no sense"),
             ("instead of rst", "its restart markers are out of order"),
             ("corrupt jpeg data", "its coded data makes no sense"),
             ("marker", "its markers are out of order"))


@dataclass(frozen=True, slots=True)
class JpegFacts:
    """What a JPEG's head tells.

    Attributes
    ----------
    space : str
        ``YCbCr``, ``RGB``, ``Gray``, ``CMYK`` or ``YCCK``.
    unit : tuple of int
        Pixels across and down of one unit of coded data.
    """

    space: str
    unit: tuple[int, int]


def jpeg_facts(data: Any) -> JpegFacts | None:
    """What a JPEG's head tells; None for kinds that only other decoders read."""
    try:
        _, _, space, sampling = simplejpeg.decode_jpeg_header(data, strict=False)
    except (ValueError, KeyError):  # KeyError: kinds that it has no name for
        return None
    return JpegFacts(space, _UNITS.get(sampling, (8, 8)))


def jpeg_pixels(data: Any, facts: JpegFacts, rows: int, columns: int, reduction: int, *,
                strict: bool) -> NDArray[np.uint8] | None:
    """Decode a grey or RGB JPEG; None where it comes out at another size.

    Parameters
    ----------
    data : bytes-like
        The file.
    facts : JpegFacts
        From `jpeg_facts`.
    rows, columns : int
        Wanted size.
    reduction : int
        1, 2, 4 or 8: file pixels along each side of a wanted one.
    strict : bool
        Whether anything that the decoder warns of counts.

    Raises
    ------
    ValueError
        With what the decoder says, when it cannot decode or, being strict, warns.
    """
    if facts.space in {"CMYK", "YCCK"}:
        return None
    pixels: NDArray[np.uint8] = simplejpeg.decode_jpeg(
        data, _SPACES.get(facts.space, "RGB"), min_height=rows if reduction > 1 else 0,
        min_width=columns if reduction > 1 else 0, min_factor=reduction, strict=strict)
    return pixels if pixels.shape[:2] == (rows, columns) else None


def jpeg_damage(data: Any) -> PictureDamage | None:
    """What a decoder warns of, reading all coded data and making few pixels of it."""
    facts = jpeg_facts(data)
    if facts is None:
        return None
    try:
        simplejpeg.decode_jpeg(data, _SPACES.get(facts.space, "GRAY"), fastdct=True,
                               fastupsample=True, min_height=1, min_width=1, min_factor=8)
    except ValueError as fault:
        return meant_by(fault)
    return None


def meant_by(fault: ValueError) -> PictureDamage:
    """What the decoder's words mean; it does not say where."""
    said = " ".join(str(fault).split())
    meaning = next((m for words, m in _MEANINGS if words in said.lower()), "it cannot be decoded")
    return PictureDamage(says=f"{meaning}: {said[:80]}")
