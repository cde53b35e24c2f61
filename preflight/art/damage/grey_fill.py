"""The flat grey that decoders put where a JPEG's data ended too early."""

from __future__ import annotations

from preflight.art.artwork_pixels import ArtPixels
from preflight.art.damage.block_borders import BLOCK_PX

#: Levels that the fill has, of 255, where all that was missing is taken for 0.
_GREYS = range(126, 131)
#: A strip of flat grey along the lower edge is no accident from this height on (pixels). Own rule.
_LEAST_ROWS = 2 * BLOCK_PX


def grey_rows(source: ArtPixels) -> int:
    """Rows at a picture's lower edge that are one flat middle grey; 0 where it is no fill.

    A picture that is flat grey as a whole, or at its upper edge too, was meant so.
    """
    if source.top != 255 or source.rows <= _LEAST_ROWS:
        return 0
    colours = source.channels - source.has_alpha
    first = source.band(source.rows - 1, source.rows)[0, 0, :colours]
    if int(first.min()) not in _GREYS or int(first.max()) not in _GREYS:
        return 0

    def is_fill(row: int, end: int) -> bool:
        return bool((source.band(row, end)[:, :, :colours] == first).all())

    if is_fill(0, 1) or not is_fill(source.rows - _LEAST_ROWS, source.rows):
        return 0
    filled = _LEAST_ROWS
    while filled < source.rows and is_fill(
            max(0, source.rows - filled - BLOCK_PX), source.rows - filled):
        filled = min(source.rows, filled + BLOCK_PX)
    return filled
