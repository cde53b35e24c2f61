"""What is known of a film once it is written."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal, NamedTuple

from separations.halftone.tone_levels import CoverageMap

Coding = Literal["group4", "deflate"]


class StripTrace(NamedTuple):
    """One strip as it was screened and coded.

    Attributes
    ----------
    first_row, end_row : int
        Film rows, half-open.
    first_bit, end_bit : int
        Where its code lies in its image's stream (Group 4), in bits.
    digest : bytes
        `separations.films.strip_decoding.checksum` of its packed rows.
    last_row : bytes
        Its last row, packed.
    """

    first_row: int
    end_row: int
    first_bit: int
    end_bit: int
    digest: bytes
    last_row: bytes


class ImagePart(NamedTuple):
    """One of the stacked images that make up the film: its name, rows and strips.

    Rows before ``first_new_row`` repeat the end of the image above, which it covers.
    """

    name: str
    first_row: int
    first_new_row: int
    end_row: int
    strips: tuple[StripTrace, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FilmRecord:
    """A written film.

    Attributes
    ----------
    path : Path
        The file.
    rows, columns : int
        Size of the image in film pixels (without margins).
    ink_pixels : int
        Inked pixels of the image.
    coverage : CoverageMap
        Share inked in coarse cells, counted from the dots.
    sha256 : str
        Of the file, hex.
    dots_digest : str
        SHA-256 over the digests of the packed rows, strip by strip, repeats left out, hex.
    coding : Coding
        How the image is compressed.
    file_bytes : int
        Size of the file.
    parts : tuple of ImagePart
        The stacked images.
    seconds : dict of str to float
        Wall time by stage; of interest to measurements only.
    """

    path: Path
    rows: int
    columns: int
    ink_pixels: int
    coverage: CoverageMap
    sha256: str
    dots_digest: str
    coding: Coding
    file_bytes: int
    parts: tuple[ImagePart, ...] = field(repr=False)
    seconds: dict[str, float] = field(repr=False)

    @property
    def mean_tone(self) -> float:
        """Ink over the whole image rectangle (0 to 1)."""
        return self.ink_pixels / (self.rows * self.columns)
