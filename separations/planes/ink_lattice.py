"""The inverse of the print model, tabled over the photograph's colours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preflight.press.halftone_spec import SmallDots
from separations.colour.colorimetry import colour_difference, xyz_to_lab
from separations.colour.inversion import (
    Seeds,
    TonePreferences,
    black_wishes,
    checked_preferences,
    end_colours,
    invert_direct,
    seed_tones,
)
from separations.colour.node_tones import solved_nodes
from separations.colour.print_model import PrintModel
from separations.colour.rendering import RenderedColours, given_colours, rendered_colours
from separations.colour.steady_courses import steadied

FloatArray = NDArray[np.float64]

#: Nodes along each axis.
LATTICE_NODES = 33
_TONE_TOP = 65535
#: Nodes of the neutral line that tell how greys come out.
_GREYS = np.arange(2, LATTICE_NODES, 4)
#: How colours out of reach are brought in where the inks do not reach round the greys, beside
#: the weights of CIEDE2000: hue first.
_HUE_WEIGHT = 2.0
#: Inks that cannot print the photograph's greys have little but lightness to give: what colour
#: weighs at least, and the dE00 that the greys may miss before it weighs less, and least.
_LEAST_COLOUR_WEIGHT = 0.1
_GREYS_WELL, _GREYS_BADLY = 1.0, 4.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkLattice:
    """Film tones at every node of a lattice over the photograph's RGB.

    Attributes
    ----------
    ink_names : tuple of str
        The k inks, in print order.
    nodes : ndarray, shape (33, 33, 33, k), uint16
        Film tones, 65535 = 100 %, at red, green and blue of i / 32.
    node_wanted_lab : ndarray, shape (33, 33, 33, 3), float32
        Lab D50 that a print should have to look like the photograph, within reach or not.
    node_difference : ndarray, shape (33, 33, 33), float32
        dE00 between wanted and printed.
    node_seen_light : ndarray, shape (33, 33, 33), float32
        How much lighter (L*) the photograph is than the print is seen.
    tone_sum_limit : float
        Most that the film tones of one place may add up to.
    smallest_tone, largest_tone : ndarray, shape (k,), float64
        Tones (0 to 1) between which each ink's dots print.
    small_dots : SmallDots
        What becomes of tones below the smallest: ``drop`` or ``hold``.
    """

    ink_names: tuple[str, ...]
    nodes: NDArray[np.uint16]
    node_wanted_lab: NDArray[np.float32]
    node_difference: NDArray[np.float32]
    node_seen_light: NDArray[np.float32]
    tone_sum_limit: float
    smallest_tone: FloatArray
    largest_tone: FloatArray
    small_dots: SmallDots

    @property
    def ink_count(self) -> int:
        """Number of inks k."""
        return len(self.ink_names)


def build_ink_lattice(  # noqa: PLR0913
    model: PrintModel,
    node_lab: ArrayLike,
    *,
    tone_sum_limit: float,
    black_ink: int | None = None,
    black_generation: float = 0.5,
    rendering: str = "balanced",
    adaptation: float = 0.5,
    smallest_tone: float | Sequence[float] = 0.0,
    largest_tone: float | Sequence[float] = 1.0,
    small_dots: SmallDots = "drop",
    aimed: ArrayLike | None = None,
) -> InkLattice:
    """Table the film tones of every colour a photograph may have.

    Parameters
    ----------
    model : PrintModel
        Substrate and 1 to 8 inks.
    node_lab : array_like, shape (33, 33, 33, 3), float
        Lab D50 of the photograph's RGB at i / 32 of each channel.
    tone_sum_limit : float
        Most that the film tones of one place may add up to, more than 0; k is no limit.
    black_ink : int, optional
        Index of the black ink.
    black_generation : float
        0 (black only where nothing else is dark enough) to 1 (black wherever it can be).
    rendering : str
        How the photograph's colours are fitted to the print's.
    adaptation : float
        How far the eye takes the lightest printable colour for white, 0 to 1.
    smallest_tone, largest_tone : float or sequence of k float
        Tones (0 to 1) between which dots print.
    small_dots : SmallDots
        ``drop`` or ``hold`` tones below the smallest.
    aimed : array_like, shape (33, 33, 33, 3), float, optional
        Lab D50 to print as near as these inks can, in place of what a rendering asks.

    Returns
    -------
    InkLattice

    Raises
    ------
    InputProblem
        When a limit, an index or the rendering is out of range.

    Notes
    -----
    Coarse nodes are solved from many starts, finer ones from their neighbours, so that
    neighbours agree wherever several sets of tones print alike. Where the inks do not reach all
    round the greys, colour counts less beside lightness the worse they print greys; with one ink
    not at all.
    """
    shape = (LATTICE_NODES,) * 3
    photo = np.asarray(node_lab, np.float64)
    if photo.shape != (*shape, 3):
        raise ValueError("node_lab is not of shape (33, 33, 33, 3)")
    limit = min(float(tone_sum_limit), float(model.ink_count))
    preferences = TonePreferences(tone_sum_limit=limit, black_ink=black_ink,
                                  black_generation=black_generation, hue_weight=_HUE_WEIGHT)
    checked_preferences(model, preferences)
    seeds = seed_tones(model, limit)
    white, black = end_colours(seeds)
    colours = rendered_colours(photo, model, limit, (white, black), adaptation=adaptation,
                               rendering=rendering) if aimed is None else given_colours(aimed)
    wanted = colours.wanted_lab
    if colours.within_reach and colours.reach is not None:
        wanted = steadied(wanted, photo, colours.reach)
    preferences = replace(preferences, colour_weight=_colour_weight(
        model, colours, preferences, seeds))
    wishes = black_wishes(wanted.reshape(-1, 3), white, black, black_generation).reshape(shape)

    nodes = solved_nodes(model, wanted, wishes, seeds, preferences)
    if aimed is None:
        nodes[-1, -1, -1] = seeds.tones[int(np.argmax(seeds.lab[:, 0]))]
    counted = _counted(nodes, limit)
    printed = model.predict_lab(counted / _TONE_TOP)
    asked = colours.aimed_lab
    if model.ink_count == 1 and aimed is None:
        asked = np.concatenate([asked[..., :1], printed[..., 1:]], axis=-1)
    inks = model.ink_count
    return InkLattice(
        ink_names=model.ink_names,
        nodes=counted,
        node_wanted_lab=asked.astype(np.float32),
        node_difference=colour_difference(printed, asked).astype(np.float32),
        node_seen_light=_light_lost(photo, printed, colours),
        tone_sum_limit=limit,
        smallest_tone=np.broadcast_to(np.asarray(smallest_tone, np.float64), (inks,)).copy(),
        largest_tone=np.broadcast_to(np.asarray(largest_tone, np.float64), (inks,)).copy(),
        small_dots=small_dots,
    )


def _light_lost(photo: FloatArray, printed: FloatArray,
                colours: RenderedColours) -> NDArray[np.float32]:
    """How much lighter (L*) the photograph is than the print is seen; shape (m, m, m)."""
    if colours.reach is None:
        return np.zeros(photo.shape[:3], np.float32)
    seen = colours.reach.viewer.seen_xyz(printed)
    return (photo[..., 0] - xyz_to_lab(np.maximum(seen, 0.0))[..., 0]).astype(np.float32)


def _colour_weight(model: PrintModel, colours: RenderedColours, preferences: TonePreferences,
                   seeds: Seeds) -> float:
    """What colour should weigh beside lightness, 0 to 1, by how well the greys come out."""
    if model.ink_count == 1:
        return 0.0
    if colours.within_reach:
        return 1.0
    greys = colours.wanted_lab[_GREYS, _GREYS, _GREYS]
    tones = invert_direct(model, greys, preferences, seeds=seeds)
    missed = float(np.mean(colour_difference(model.predict_lab(tones), greys)))
    return float(np.interp(missed, [_GREYS_WELL, _GREYS_BADLY], [1.0, _LEAST_COLOUR_WEIGHT]))


def _counted(nodes: FloatArray, limit: float) -> NDArray[np.uint16]:
    """Tones as 16-bit counts whose sum never passes the limit's."""
    scaled = np.clip(nodes, 0.0, 1.0) * _TONE_TOP
    rounded = np.rint(scaled)
    over = rounded.sum(axis=-1, keepdims=True) > np.floor(limit * _TONE_TOP + 1e-6)
    return np.where(over, np.floor(scaled), rounded).astype(np.uint16)
