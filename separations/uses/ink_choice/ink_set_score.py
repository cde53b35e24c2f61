"""How near a set of inks comes to a picture's colours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.colour.colorimetry import colour_difference
from separations.colour.inversion import (
    TonePreferences,
    best_of_starts,
    improved,
    seed_tones,
)
from separations.colour.print_model import PrintModel
from separations.uses.ink_choice.photo_colours import WeightedColours

FloatArray = NDArray[np.float64]

#: The worst share of the picture that is looked at apart, and its part in the score. Own rule: a
#: small thing in a colour that no ink has is seen, however little it weighs in a mean.
TAIL = 0.1
TAIL_PART = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class SetScore:
    """Colour differences over a picture.

    Attributes
    ----------
    mean_de00 : float
        Mean dE00 between the colour aimed at and the nearest that prints.
    tail_de00 : float
        Mean over the worst tenth of the picture.
    score : float
        What sets are compared by: four parts of the mean and one of the tail, dE00.
    """

    mean_de00: float
    tail_de00: float
    score: float


def search_preferences(inks: int, tone_sum_limit: float, steps: int) -> TonePreferences:
    """The nearest colour by CIEDE2000 as it is, under the tone sum limit; no wish beside it."""
    return TonePreferences(tone_sum_limit=min(tone_sum_limit, float(inks)), steps=steps)


def score_of(differences: FloatArray, shares: FloatArray) -> SetScore:
    """Sum up colour differences.

    Parameters
    ----------
    differences : ndarray, shape (N,), float64
        dE00.
    shares : ndarray, shape (N,), float64
        Share of the picture, adding up to 1.
    """
    mean = float(differences @ shares)
    order = np.argsort(-differences, kind="stable")
    before = np.cumsum(shares[order]) - shares[order]
    counted = np.clip(TAIL - before, 0.0, shares[order])
    tail = float(differences[order] @ counted / counted.sum())
    return SetScore(mean_de00=mean, tail_de00=tail,
                    score=(1.0 - TAIL_PART) * mean + TAIL_PART * tail)


def nearest_tones(model: PrintModel, targets: FloatArray, starts: Sequence[FloatArray],
                  tone_sum_limit: float, steps: int) -> FloatArray:
    """Film tones that print nearest each target, the best from several starts.

    Parameters
    ----------
    model : PrintModel
        Wood and k inks.
    targets : ndarray, shape (N, 3), float64
        Lab D50.
    starts : sequence of ndarray, shape (N, k), float64
        Tones, 0 to 1; at least one.
    tone_sum_limit : float
        Most that the tones of one place may add up to.
    steps : int
        Most steps of the search from each start.

    Returns
    -------
    ndarray, shape (N, k), float64
        Tones, 0 to 1.
    """
    preferences = search_preferences(model.ink_count, tone_sum_limit, steps)
    no_black = np.zeros(len(targets))
    best, least = improved(model, targets, no_black, starts[0], preferences)
    for start in starts[1:]:
        found, costs = improved(model, targets, no_black, start, preferences)
        better = costs < least
        best[better], least[better] = found[better], costs[better]
    return best


def nearest_tones_anywhere(model: PrintModel, targets: FloatArray, tone_sum_limit: float,
                           steps: int = 40) -> FloatArray:
    """The same without a start: from the nearest of many tones spread over all legal ones."""
    preferences = search_preferences(model.ink_count, tone_sum_limit, steps)
    seeds = seed_tones(model, preferences.tone_sum_limit)
    return best_of_starts(model, targets, np.zeros(len(targets)), seeds, preferences)


def set_score(model: PrintModel, colours: WeightedColours, tones: FloatArray) -> SetScore:
    """Score of a set whose tones (N, k) for these colours are known."""
    return score_of(colour_difference(model.predict_lab(tones), colours.lab), colours.shares)
