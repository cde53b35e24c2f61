"""Steps of a picture across the borders of the blocks that a JPEG is coded in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.art.artwork_pixels import ArtPixels

Floats = NDArray[np.float32]
#: Side of the smallest block (pixels).
BLOCK_PX = 8
#: Rows of blocks that are looked at in one go.
_BAND_BLOCKS = 32
#: Every other column is looked at: neighbours tell the same.
_COLUMN_STEP = 2
#: Added to differences before they are compared, so that flat places do not count (levels).
_FLAT = 0.7


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BorderSteps:
    """What happens across the upper border of each block but those of the first row.

    Each array has the shape (rows of blocks − 1, columns of blocks).

    Attributes
    ----------
    lightness, blueness, redness : NDArray of float32
        The mean step (levels, downwards) beyond what the pictures' own slopes on both sides lead
        to expect; the colours are missing in grey pictures.
    roughness : NDArray of float32
        Logarithm of the mean difference across the border over that beside it.
    """

    lightness: Floats
    blueness: Floats | None
    redness: Floats | None
    roughness: Floats

    def on(self, across: int, down: int) -> BorderSteps:
        """The same for blocks that are ``across`` times as wide and ``down`` times as tall."""
        columns = self.lightness.shape[1] // across

        def merged(steps: Floats | None) -> Floats | None:
            if steps is None:
                return None
            kept = steps[down - 1::down, :columns * across]
            return np.asarray(kept.reshape(len(kept), columns, across).mean(axis=2))

        lightness, roughness = merged(self.lightness), merged(self.roughness)
        assert lightness is not None
        assert roughness is not None
        return BorderSteps(lightness=lightness, blueness=merged(self.blueness),
                           redness=merged(self.redness), roughness=roughness)


def border_steps(source: ArtPixels) -> BorderSteps | None:
    """Measure a picture as it is stored; None where it has too few blocks to tell anything."""
    rows, columns = (source.rows - 4) // BLOCK_PX, source.columns // BLOCK_PX
    if rows < 3 or columns < 8:
        return None
    parts = list(_parts(source, rows, columns))
    stacked = [np.concatenate(part) if part[0] is not None else None
               for part in zip(*parts, strict=True)]
    lightness, blueness, redness, roughness = stacked
    assert lightness is not None
    assert roughness is not None
    return BorderSteps(lightness=lightness, blueness=blueness, redness=redness,
                       roughness=roughness)


_Measured = tuple[Floats, Floats | None, Floats | None, Floats]


def _parts(source: ArtPixels, rows: int, columns: int) -> Iterator[_Measured]:
    """Borders 1 to ``rows``, some at a time."""
    for first in range(1, rows + 1, _BAND_BLOCKS):
        borders = min(_BAND_BLOCKS, rows + 1 - first)
        top = first * BLOCK_PX - 4
        band = source.band(top, min(top + borders * BLOCK_PX, source.rows))
        yield _measured(_eight_bit_ycc(band[:, :columns * BLOCK_PX], source.has_alpha),
                        borders, columns)


def _eight_bit_ycc(band: NDArray[np.uint8] | NDArray[np.uint16], has_alpha: bool
                   ) -> list[NDArray[np.int16]]:
    """Lightness and the two colour differences of every other column."""
    thin: Any = band[:, ::_COLUMN_STEP]
    if thin.dtype == np.uint16:
        thin = (thin >> 8).astype(np.uint8)
    channels = thin.shape[2] - has_alpha
    if channels == 1:
        return [thin[:, :, 0].astype(np.int16)]
    ycc = cv2.cvtColor(np.ascontiguousarray(thin[:, :, :3]), cv2.COLOR_RGB2YCrCb)
    return [ycc[:, :, channel].astype(np.int16) for channel in (0, 2, 1)]


def _measured(planes: list[NDArray[np.int16]], borders: int, columns: int) -> _Measured:
    """Borders lie 4 rows below the band's top and every 8 rows from there on."""
    def row(plane: NDArray[np.int16], beside: int) -> NDArray[np.int16]:
        return plane[4 + beside::BLOCK_PX][:borders]

    def blocks(values: Any) -> Any:
        across = BLOCK_PX // _COLUMN_STEP
        summed = values.reshape(len(values), columns, across).sum(axis=2, dtype=np.int32)
        return summed.astype(np.float32) / np.float32(across)

    light = planes[0]
    above, below = row(light, -1) - row(light, -2), row(light, 1) - row(light, 0)
    across = row(light, 0) - row(light, -1)
    beside = blocks(np.abs(above) + np.abs(below)) / 2
    roughness = np.log((blocks(np.abs(across)) + _FLAT) / (beside + _FLAT))
    # Colours are often stored at half size and smoothed: their steps are taken from further off.
    tints = [blocks(row(plane, 1) - row(plane, -2)) - 0.75 * blocks(
        row(plane, -2) - row(plane, -4) + row(plane, 3) - row(plane, 1)) for plane in planes[1:]]
    blue, red = tints or (None, None)
    return blocks(across) - blocks(above + below) / 2, blue, red, roughness
