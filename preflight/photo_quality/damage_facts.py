"""What of a placed picture is damaged: what its file tells, and what its pixels show."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.art.artwork import Artwork
from preflight.art.artwork_pixels import ArtPixels, LoadPixels, load_pixels
from preflight.art.damage.coding_breaks import coding_break
from preflight.art.damage.file_damage import file_damage
from preflight.art.damage.grey_fill import grey_rows
from preflight.art.damage.picture_damage import Box, PictureDamage, from_row
from preflight.art.placement import PlacedArt
from preflight.findings import Place

#: Longer side of the whole picture shown small, and sides of the close view (pixels).
_SMALL_PX, _CLOSE_PX = 900, (480, 320)


#: What a photograph's pixels show of damage.
LookForDamage = Callable[[Artwork, ArtPixels], tuple[PictureDamage, ...]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DamageFacts:
    """One damage of one artwork.

    Attributes
    ----------
    file : str
        The artwork.
    says, share, share_told
        As `PictureDamage` has them; the share in words besides.
    is_told : bool
        Whether the file itself tells; else its pixels look so.
    is_accepted : bool
        Whether the job accepts damage of this artwork.
    place : Place or None
        Where it lies on the board; None where nothing tells.
    box : tuple of float
        Where, as shares of the picture's width and height as it is stored.
    small, close : NDArray of uint8, shape (rows, columns, 3)
        The picture made small, and its own pixels where the damage begins.
    """

    file: str
    says: str
    share: float | None
    share_told: str
    is_told: bool
    is_accepted: bool
    place: Place | None
    box: Box
    small: NDArray[np.uint8]
    close: NDArray[np.uint8]


def measure_damage(artwork: Artwork, placed: PlacedArt, *, file: str, is_photo: bool,
                   load: LoadPixels = load_pixels,
                   look: LookForDamage | None = None) -> tuple[DamageFacts, ...]:
    """Look for damage of a picture that could be read.

    Parameters
    ----------
    artwork, placed
        The picture and where it lies.
    file : str
        What findings call it.
    is_photo : bool
        Whether its pixels are looked at; line work has edges where photographs have none.
    load : callable
        Decodes the picture; one that keeps it where several look at it.
    look : callable, optional
        Tells what `seen_damage` finds; one that keeps it, since it does not depend on the place.

    Raises
    ------
    InputProblem
        When the file is damaged and the job does not accept that.
    """
    told = file_damage(artwork) if artwork.accepts_damage else None
    if told is None and not is_photo:
        return ()
    source = load(artwork)
    found = [*([told] if told else []), *((look or _looked)(artwork, source) if is_photo else ())]
    return tuple(_facts(damage, source, placed, file) for damage in found)


def _looked(_artwork: Artwork, source: ArtPixels) -> tuple[PictureDamage, ...]:
    return tuple(seen_damage(source))


def seen_damage(source: ArtPixels) -> Iterator[PictureDamage]:
    """Damage that a photograph's pixels show, decoded at their full size."""
    filled = grey_rows(source)
    if filled:
        yield from_row(source.rows - filled, source.rows,
                       "its lower edge is the flat grey that stands for missing data",
                       is_told=False)
        return
    broken = coding_break(source)
    if broken is not None:
        yield from_row(broken.row_px, source.rows,
                       "from one block of its coding on all is shifted or of another colour",
                       is_told=False)


def _facts(damage: PictureDamage, source: ArtPixels, placed: PlacedArt, file: str) -> DamageFacts:
    left, upper, right, lower = damage.box
    wide, tall = source.columns, source.rows
    place = None
    if damage.share is not None:
        corners = np.array([[left, right, right, left], [upper, upper, lower, lower],
                            [1.0, 1.0, 1.0, 1.0]]) * [[wide], [tall], [1.0]]
        x, y, _ = placed.to_board @ np.linalg.inv(source.from_art) @ corners
        place = Place(least_x_mm=float(x.min()), least_y_mm=float(y.min()),
                      greatest_x_mm=float(x.max()), greatest_y_mm=float(y.max()))
    return DamageFacts(
        file=file, says=damage.says, share=damage.share, share_told=damage.share_told,
        is_told=damage.is_told, is_accepted=source.artwork.accepts_damage, place=place,
        box=damage.box, small=_small(source), close=_close(source, damage))


def _small(source: ArtPixels) -> NDArray[np.uint8]:
    """The whole picture, every so many pixels of it."""
    step = max(1, -(-max(source.rows, source.columns) // _SMALL_PX))
    rows = [source.band(row, row + 1)[:, ::step] for row in range(0, source.rows, step)]
    return _shown(np.concatenate(rows), source)


def _close(source: ArtPixels, damage: PictureDamage) -> NDArray[np.uint8]:
    """Its own pixels about where the damage begins."""
    wide, tall = (min(side, most) for side, most in
                  zip(_CLOSE_PX, (source.columns, source.rows), strict=True))
    top = min(max(0, round(damage.box[1] * source.rows) - tall // 2), source.rows - tall)
    left = min(max(0, round((damage.box[0] + damage.box[2]) / 2 * source.columns) - wide // 2),
               source.columns - wide)
    return _shown(source.band(top, top + tall)[:, left:left + wide], source)


def _shown(pixels: NDArray[Any], source: ArtPixels) -> NDArray[np.uint8]:
    colours = pixels[:, :, :source.channels - source.has_alpha]
    eight = (colours >> 8).astype(np.uint8) if source.top > 255 else colours.astype(np.uint8)
    return np.asarray(cv2.cvtColor(np.ascontiguousarray(eight), cv2.COLOR_GRAY2RGB)
                      if eight.shape[2] == 1 else np.ascontiguousarray(eight), np.uint8)
