"""Pictures decoded once, for as long as several look at them."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Protocol

from preflight.art.artwork import Artwork
from preflight.art.artwork_pixels import LEAST_SHRINK_TO_REDUCE, ArtPixels, load_pixels


class LoadPixels(Protocol):
    """Whatever decodes a picture as `preflight.art.artwork_pixels.load_pixels` does."""

    def __call__(self, artwork: Artwork, *, shrink: float = 1.0) -> ArtPixels:
        """The picture, not much finer than wanted where that is quicker."""


class KeptPixels:
    """Decodes each picture at the first asking and keeps it; any thread may ask.

    A picture is known by its file. Those that would be decoded smaller are not kept: they are
    wanted once, and differ.
    """

    def __init__(self) -> None:
        self._kept: dict[Path, ArtPixels] = {}
        self._decoding = threading.Lock()

    def __call__(self, artwork: Artwork, *, shrink: float = 1.0) -> ArtPixels:
        """The picture; faults as in `preflight.art.artwork_pixels.load_pixels`."""
        if shrink >= LEAST_SHRINK_TO_REDUCE:
            return load_pixels(artwork, shrink=shrink)
        with self._decoding:
            if artwork.path not in self._kept:
                self._kept[artwork.path] = load_pixels(artwork).made_ready()
            return self._kept[artwork.path]

    def forget(self) -> None:
        """Keep none of them any longer."""
        with self._decoding:
            self._kept.clear()
