"""A session's pictures, decoded once for as long as there is room to keep them."""

from __future__ import annotations

from collections.abc import Sequence

from preflight.art.artwork import Artwork
from preflight.art.artwork_pixels import LEAST_SHRINK_TO_REDUCE, ArtPixels, load_pixels
from separations.pipeline.kept_results import KeptResults

#: Under this name decoded photographs are kept.
DECODED = "decoded picture"
#: Photographs of more pixels than this together are let go before planes take their room.
_MANY_PIXELS = 60_000_000


def take_much_room(artworks: Sequence[Artwork]) -> bool:
    """Whether photographs are so large that what only they tell should come before planes."""
    return sum(art.width_px * art.height_px for art in artworks) > _MANY_PIXELS


def keep_for_one_look() -> KeptResults:
    """What keeps nothing but photographs, while several stages of one look want them."""
    return KeptResults(0, always=(DECODED,))


class KeptPhotos:
    """Decodes each picture at the first asking and keeps it among a session's results.

    Parameters
    ----------
    keep : KeptResults
        Keeps them, as long as there is room.
    """

    def __init__(self, keep: KeptResults) -> None:
        self._keep = keep

    def __call__(self, artwork: Artwork, *, shrink: float = 1.0) -> ArtPixels:
        """The picture; faults as in `preflight.art.artwork_pixels.load_pixels`.

        Those that are decoded smaller differ by how much smaller, and are kept each by itself.
        """
        if artwork.kept is not None:  # of one whole picture, whatever is cropped
            return self(artwork.uncropped).cropped_to(artwork)
        if shrink >= LEAST_SHRINK_TO_REDUCE:
            return self._keep.made_of(DECODED, (artwork, shrink),
                                      lambda: load_pixels(artwork, shrink=shrink).made_ready())
        return self._keep.made_of(DECODED, (artwork,),
                                  lambda: load_pixels(artwork).made_ready())

    def forget(self) -> None:
        """Keep none of them any longer."""
        self._keep.forget_named(DECODED)

    def forget_before_planes(self, artworks: Sequence[Artwork]) -> None:
        """Keep large ones no longer than several stages of one look want them."""
        if self._keep.is_for_one_look and take_much_room(artworks):
            self.forget()
