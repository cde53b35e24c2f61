"""Which inks of a stock print a picture best: greedy, then exchange until no exchange helps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.runtime.parallel_rows import processors
from separations.uses.ink_choice.ink_set_models import SetModels
from separations.uses.ink_choice.ink_set_score import (
    SetScore,
    nearest_tones,
    nearest_tones_anywhere,
    set_score,
)
from separations.uses.ink_choice.photo_colours import WeightedColours, nearest_rows

FloatArray = NDArray[np.float64]
Places = tuple[int, ...]

MOST_CHOSEN = 6
#: Colours on which all candidates are tried, and how many of them are then tried on all colours.
_FEW_COLOURS = 32
_FINALISTS = 4
_FEW_STEPS, _ALL_STEPS = 5, 12
#: How many sets of that many inks are grown further: small sets are cheap, and two inks that are
#: good together need not be good alone.
_WIDTHS = {1: 12, 2: 6, 3: 2}
#: Tone at which an added ink starts its second try, and what is left of the others' tones then.
_NEW_TONE, _OTHERS_KEPT = 0.4, 0.75
#: An exchange must gain more than this (dE00).
_LEAST_GAIN = 1e-3
#: A mean gain (dE00) under which one more ink is not worth a screen. Own rule: half of 1, which
#: is about the least difference seen side by side (from memory, unverified).
WORTH_A_SCREEN = 0.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChosenSet:
    """The best set found for one number of inks.

    Attributes
    ----------
    places : tuple of int
        Which inks, as places in the stock's print order, rising.
    score : SetScore
        How near they come.
    tones : ndarray, shape (N, k), float64
        Film tones (0 to 1) that print nearest each of the picture's colours.
    """

    places: Places
    score: SetScore
    tones: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Candidate:
    """A set not yet tried: its places, a set that holds it, and where its tones may start."""

    places: Places
    union: Places
    starts: tuple[FloatArray, ...]


def choose_sets(models: SetModels, colours: WeightedColours, tone_sum_limit: float,
                most: int) -> tuple[ChosenSet, ...]:
    """The best sets of 1, 2, ... inks that the search finds.

    Parameters
    ----------
    models : SetModels
        Wood and stock.
    colours : WeightedColours
        What the picture is to become; the same for every set, or sets could not be compared.
    tone_sum_limit : float
        Most that the film tones of one place may add up to.
    most : int
        Most inks, 1 to 6; no more than there are in stock.

    Returns
    -------
    tuple of ChosenSet
        For 1, 2, ... inks.

    Notes
    -----
    Each number of inks starts from the best set of one ink less and the ink that helps it most;
    then single inks are exchanged while that lowers the score. Last, each set is compared with
    the next larger one less each of its inks. Candidates are tried on a few colours first.
    """
    with ThreadPoolExecutor(processors()) as pool:
        return _searched(_Search(models, colours, tone_sum_limit, pool),
                         min(most, MOST_CHOSEN, len(models.inks)))


def _searched(search: _Search, most: int) -> tuple[ChosenSet, ...]:
    chosen: list[ChosenSet] = []
    kept = [ChosenSet(places=(), tones=np.zeros((len(search.colours.lab), 0)),
                      score=SetScore(mean_de00=np.inf, tail_de00=np.inf, score=np.inf))]
    for count in range(1, most + 1):
        width = _WIDTHS.get(count, 1)
        grown = {c.places: c for base in kept for c in search.added(base)}
        found = search.best_of(grown.values(), max(width, _FINALISTS))
        best = search.from_anywhere(search.exchanged(found[0]))
        chosen.append(best)
        kept = [best, *(other for other in found if other.places != best.places)][:width]
    for count in range(most - 2, -1, -1):
        smaller = search.best_of(search.reduced(chosen[count + 1]), 1)
        if smaller and smaller[0].score.score < chosen[count].score.score - _LEAST_GAIN:
            chosen[count] = search.from_anywhere(search.exchanged(smaller[0]))
    return tuple(chosen)


def inks_worth_a_screen(means_de00: Sequence[float], least: float = WORTH_A_SCREEN) -> int:
    """How many inks to print: beyond, no further ink gains ``least`` each on average.

    Parameters
    ----------
    means_de00 : sequence of float
        Mean dE00 of the best sets of 1, 2, ... inks.
    least : float
        Gain of one more ink (dE00) that is worth a screen.
    """
    for count in range(1, len(means_de00)):
        if all(means_de00[count - 1] - means_de00[more - 1] < least * (more - count)
               for more in range(count + 1, len(means_de00) + 1)):
            return count
    return len(means_de00)


class _Search:
    """The candidates' tones and scores."""

    def __init__(self, models: SetModels, colours: WeightedColours, limit: float,
                 pool: ThreadPoolExecutor) -> None:
        self.models, self.colours, self.limit, self.pool = models, colours, limit, pool
        self.tried: set[Places] = set()
        self.rows, shares = nearest_rows(colours, _FEW_COLOURS)
        self.few = WeightedColours(lab=np.ascontiguousarray(colours.lab[self.rows]),
                                   shares=shares)

    def added(self, base: ChosenSet) -> list[_Candidate]:
        """The set and one ink more."""
        return [self._candidate(base, base.places, ink) for ink in self._others(base)]

    def swapped(self, base: ChosenSet) -> list[_Candidate]:
        """The set with one of its inks in exchange for another."""
        return [self._candidate(base, tuple(p for p in base.places if p != gone), ink)
                for ink in self._others(base) for gone in base.places]

    def reduced(self, base: ChosenSet) -> list[_Candidate]:
        """The set less one ink."""
        return [_Candidate(places=tuple(p for p in base.places if p != gone), union=base.places,
                           starts=(np.delete(base.tones, number, axis=1),))
                for number, gone in enumerate(base.places)]

    def exchanged(self, base: ChosenSet) -> ChosenSet:
        """The set after exchanges, until none helps."""
        while True:
            found = self.best_of(self.swapped(base), _FINALISTS)
            if not found or found[0].score.score >= base.score.score - _LEAST_GAIN:
                return base
            base = found[0]

    def best_of(self, candidates: Iterable[_Candidate], count: int) -> list[ChosenSet]:
        """The best of the candidates that were never tried, best first."""
        new = [c for c in candidates if c.places not in self.tried]
        self.tried.update(c.places for c in new)
        tried = sorted(self._few_scores(new), key=lambda pair: pair[0])
        found = self.pool.map(self._on_all_colours, [c for _, c in tried[:count]])
        return sorted(found, key=lambda one: one.score.score)

    def _few_scores(self, candidates: list[_Candidate]) -> list[tuple[float, _Candidate]]:
        """Scores on the few colours; candidates of one larger set stay in one thread."""
        unions: dict[Places, list[_Candidate]] = {}
        for candidate in candidates:
            unions.setdefault(candidate.union, []).append(candidate)

        def work(group: list[_Candidate]) -> list[tuple[float, _Candidate]]:
            return [(self._few_score(candidate), candidate) for candidate in group]

        return [pair for pairs in self.pool.map(work, unions.values()) for pair in pairs]

    def _few_score(self, candidate: _Candidate) -> float:
        model = self.models.model_within(candidate.places, candidate.union)
        starts = [start[self.rows] for start in candidate.starts]
        tones = nearest_tones(model, self.few.lab, starts, self.limit, _FEW_STEPS)
        return set_score(model, self.few, tones).score

    def _on_all_colours(self, candidate: _Candidate) -> ChosenSet:
        model = self.models.model(candidate.places)
        tones = nearest_tones(model, self.colours.lab, candidate.starts, self.limit, _ALL_STEPS)
        return ChosenSet(places=candidate.places, tones=tones,
                         score=set_score(model, self.colours, tones))

    def from_anywhere(self, found: ChosenSet) -> ChosenSet:
        """The set with tones that no start of the search has led to, where they are nearer."""
        model = self.models.model(found.places)
        free = nearest_tones_anywhere(model, self.colours.lab, self.limit, _ALL_STEPS)
        tones = nearest_tones(model, self.colours.lab, (found.tones, free), self.limit, _ALL_STEPS)
        return ChosenSet(places=found.places, tones=tones,
                         score=set_score(model, self.colours, tones))

    def _others(self, base: ChosenSet) -> list[int]:
        return [ink for ink in range(len(self.models.inks)) if ink not in base.places]

    def _candidate(self, base: ChosenSet, kept: Places, new: int) -> _Candidate:
        """Kept inks and a new one: it starts from nothing, or where the one it replaces was."""
        places = tuple(sorted((*kept, new)))
        gone = [number for number, place in enumerate(base.places) if place not in kept]
        from_nothing = np.zeros((len(base.tones), len(places)))
        for place in kept:
            from_nothing[:, places.index(place)] = base.tones[:, base.places.index(place)]
        in_place = from_nothing.copy()
        if gone:
            in_place[:, places.index(new)] = base.tones[:, gone[0]]
        else:
            in_place *= _OTHERS_KEPT
            in_place[:, places.index(new)] = _NEW_TONE
        return _Candidate(places=places, union=tuple(sorted({*base.places, new})),
                          starts=(from_nothing, in_place))
