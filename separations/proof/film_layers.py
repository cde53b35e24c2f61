"""The inks' planes as pictures that a browser lays on the wood."""

from __future__ import annotations

import io
from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from separations.colour.display import shown_srgb, solid_srgb
from separations.colour.print_model import PrintModel
from separations.proof.shown_pictures import FilmLayer

#: All layers together hold at most so many pixels, so that a page of many inks stays light.
_MOST_PIXELS = 16_000_000
_QUALITY = 62


def film_layers(
    tones: NDArray[np.uint16], inks: Sequence[str], model: PrintModel
) -> tuple[FilmLayer, ...]:
    """A grey picture of each ink's film tones, and the colour that tints it.

    Parameters
    ----------
    tones : ndarray of uint16, shape (k, rows, columns)
        Film tones on the board, nose up, 65535 for 100 %.
    inks : sequence of str
        Names, as many as planes.
    model : PrintModel
        Wood and inks, in the planes' order.

    Notes
    -----
    A browser multiplies each layer on the ones beneath. The factor is the solid's colour over
    the wood's, in sRGB as shown, so that one film alone looks right at 0 and 100 %. An ink
    lighter than the wood is laid by the rule of a screened blend in the same way.
    """
    wood = shown_srgb(model.primaries_lab[0])
    scale = min(1.0, (_MOST_PIXELS / max(1, tones.size)) ** 0.5)
    layers = []
    for number, (name, plane) in enumerate(zip(inks, tones, strict=True)):
        solid = solid_srgb(model, number)
        lightens = sum(solid) > sum(wood)
        grey = cv2.convertScaleAbs(plane, alpha=255 / 65_535)
        if scale < 1:
            grey = cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        if not lightens:
            grey = cv2.bitwise_not(grey)
        layers.append(FilmLayer(
            ink=name, data=_grey_jpeg(cv2.rotate(grey, cv2.ROTATE_90_CLOCKWISE)),
            srgb=_lift(solid, wood) if lightens else _factor(solid, wood), lightens=lightens))
    return tuple(layers)


def _factor(solid: Sequence[int], wood: Sequence[int]) -> tuple[int, int, int]:
    """What multiplies the wood into the solid, 0 to 255."""
    red, green, blue = (min(255, round(255 * s / max(w, 1)))
                        for s, w in zip(solid, wood, strict=True))
    return red, green, blue


def _lift(solid: Sequence[int], wood: Sequence[int]) -> tuple[int, int, int]:
    """What lifts the wood to the solid when the darkness of both is multiplied, 0 to 255."""
    red, green, blue = (255 - v for v in _factor([255 - s for s in solid],
                                                 [255 - w for w in wood]))
    return red, green, blue


def _grey_jpeg(grey: NDArray[np.integer]) -> bytes:
    stream = io.BytesIO()
    Image.fromarray(np.asarray(grey, np.uint8)).save(stream, "JPEG", quality=_QUALITY)
    return stream.getvalue()
