"""Film tones that print nearest a colour, one colour at a time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preflight.input_problem import InputProblem
from separations.colour.print_model import PrintModel, print_sums
from separations.runtime.parallel_rows import share_rows

FloatArray = NDArray[np.float64]

#: Cost of the square of each tone, in dE00 squared: enough to prefer fewer inks, too little to
#: be seen in the colour.
_INK_WEIGHT = 0.02
_BLACK_WEIGHT = 0.4
#: Chroma (Lab units from the neutral line) at which the wish for black has fallen to 37 %.
_BLACK_CHROMA = 40.0
_SEEDS = 6000
_SEED_TRIES = 3
_MORE_TRIES = 8
#: Lab units that black's full tone counts for in the choice of seeds.
_BLACK_AXIS = 10.0
#: Colours so little lighter than the darkest (L*) are as dark to an eye. Own rule, judged on
#: photographs: a tint of the darkest shadows is seen, so small a step of lightness is not.
_AS_DARK = 1.0
#: Cost (dE00 squared) from which a row counts as short of its colour.
_SHORT_COST = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class TonePreferences:
    """Limits and wishes of an inversion.

    Attributes
    ----------
    tone_sum_limit : float
        Most that the film tones of one place may add up to (k inks: at most k).
    black_ink : int or None
        Index of the black ink.
    black_generation : float
        0 (black only where nothing else is dark enough) to 1 (black wherever it can be).
    hue_weight : float
        How much dearer hue is than in CIEDE2000, for colours out of reach.
    light_weight : float
        How much dearer lightness is than in CIEDE2000, for colours out of reach.
    colour_weight : float
        1, or 0 to look at lightness alone.
    steps : int
        Most steps of the search.
    """

    tone_sum_limit: float
    black_ink: int | None = None
    black_generation: float = 0.5
    hue_weight: float = 1.0
    light_weight: float = 1.0
    colour_weight: float = 1.0
    steps: int = 40


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TonePull:
    """Tones that an inversion is drawn towards.

    Attributes
    ----------
    tones : ndarray, shape (N, k), float64
        0 to 1.
    weights : ndarray, shape (N,), float64
        Cost, in dE00 squared, of the square of each tone's distance.
    """

    tones: FloatArray
    weights: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seeds:
    """Tones spread over all that may be printed, and their colours.

    Attributes
    ----------
    tones : ndarray, shape (S, k), float64
        Film tones, 0 to 1, sums within the limit.
    lab : ndarray, shape (S, 3), float64
        Lab D50 of each.
    """

    tones: FloatArray
    lab: FloatArray


def checked_preferences(model: PrintModel, preferences: TonePreferences) -> None:
    """Refuse preferences that the model cannot follow.

    Raises
    ------
    InputProblem
        When a limit or an index is out of range.
    """
    if not preferences.tone_sum_limit > 0.0:
        raise InputProblem(where="tone sum limit", found=f"{preferences.tone_sum_limit:.0%}",
                           would_do="more than 0 %")
    black = preferences.black_ink
    if black is not None and not 0 <= black < model.ink_count:
        raise InputProblem(where="black ink", found=str(black),
                           would_do=f"the place of an ink, 0 to {model.ink_count - 1}, or none")
    if not 0.0 <= preferences.black_generation <= 1.0:
        raise InputProblem(where="black generation", found=str(preferences.black_generation),
                           would_do="0 to 1")


def seed_tones(model: PrintModel, tone_sum_limit: float) -> Seeds:
    """Tones spread evenly over the legal ones, corners and edges among them.

    Notes
    -----
    Source: additive recurrence on the generalised golden ratio, Roberts 2018.
    """
    inks = model.ink_count
    ratio = 2.0
    for _ in range(60):
        ratio = (1.0 + ratio) ** (1.0 / (inks + 1))
    steps = ratio ** -np.arange(1.0, inks + 1.0)
    spread = (0.5 + np.arange(1, _SEEDS + 1)[:, None] * steps) % 1.0
    # a margin beyond 0 and 1, folded back, puts a fair share on the faces
    spread = np.clip(spread * 1.3 - 0.2, 0.0, 1.0)
    corners = np.array([[index >> ink & 1 for ink in range(inks)] for index in range(1 << inks)],
                       np.float64)
    tones = np.concatenate([corners, spread])
    total = tones.sum(axis=1, keepdims=True)
    tones *= np.minimum(1.0, tone_sum_limit / np.maximum(total, 1e-12))
    return Seeds(tones=tones, lab=model.predict_lab(tones))


def black_wishes(lab: FloatArray, white_lab: FloatArray, black_lab: FloatArray,
                 generation: float) -> FloatArray:
    """Tone wished of the black ink at each colour.

    Parameters
    ----------
    lab : ndarray, shape (N, 3), float64
        Colours wanted.
    white_lab, black_lab : ndarray, shape (3,), float64
        Whitest and darkest printable colours; the line between them is neutral.
    generation : float
        0 to 1.

    Returns
    -------
    ndarray, shape (N,), float64
        0 to 1: rises with darkness d as d^(1/generation), falls away from neutral.
    """
    if generation <= 0.0:
        return np.zeros(len(lab))
    depth = np.clip((white_lab[0] - lab[:, 0]) / max(white_lab[0] - black_lab[0], 1e-6), 0.0, 1.0)
    neutral = white_lab[1:] + depth[:, None] * (black_lab[1:] - white_lab[1:])
    away = np.sum((lab[:, 1:] - neutral) ** 2, axis=1) / _BLACK_CHROMA**2
    return np.asarray(depth ** (1.0 / generation) * np.exp(-away))


def end_colours(seeds: Seeds) -> tuple[FloatArray, FloatArray]:
    """Lab of the whitest and of the darkest printable colour; two arrays of shape (3,).

    Where the darkest is no overprint of solids, it is, among those that look as dark, the one
    nearest to the way from white to black, so that greys reach it without a turn of their tint.
    """
    white, light = seeds.lab[int(np.argmax(seeds.lab[:, 0]))], seeds.lab[:, 0]
    darkest = int(np.argmin(light))
    if not np.isin(seeds.tones[darkest], (0.0, 1.0)).all():
        tint = np.outer(light / max(white[0], 1e-6), white[1:])
        aside = np.hypot(*(seeds.lab[:, 1:] - tint).T)
        darkest = int(np.argmin(np.where(light <= light[darkest] + _AS_DARK, aside, np.inf)))
    return white, seeds.lab[darkest]


def improved(model: PrintModel, targets: FloatArray, wishes: FloatArray, tones: FloatArray,
             preferences: TonePreferences, *,
             pull: TonePull | None = None) -> tuple[FloatArray, FloatArray]:
    """Solve every row from its start.

    Parameters
    ----------
    model : PrintModel
        Substrate and inks.
    targets : ndarray, shape (N, 3), float64
        Lab D50 wanted.
    wishes : ndarray, shape (N,), float64
        Tone wished of the black ink, 0 to 1.
    tones : ndarray, shape (N, k), float64
        Where to start, 0 to 1.
    preferences : TonePreferences
        Limits and wishes.
    pull : TonePull, optional
        Tones to stay near.

    Returns
    -------
    tuple of ndarray, float64
        Tones (N, k) and costs (N,), dE00 squared with all preferences.
    """
    from separations.colour.tone_solver import Wanted, Wishes, rooms_for, solve_rows

    black = -1 if preferences.black_ink is None else preferences.black_ink
    asked = Wishes(
        tone_sum_limit=float(preferences.tone_sum_limit), ink_weight=_INK_WEIGHT, black_ink=black,
        black_weight=_BLACK_WEIGHT, weights=(
            float(preferences.light_weight), float(preferences.colour_weight),
            float(preferences.hue_weight)), steps=preferences.steps)
    sums = print_sums(model)
    found, costs = np.array(tones, np.float64, order="C"), np.empty(len(targets))
    near = pull or TonePull(tones=np.zeros_like(found), weights=np.zeros(len(found)))

    def work(first: int, stop: int) -> None:
        part = slice(first, stop)
        solve_rows(Wanted(targets[part], wishes[part], near.tones[part], near.weights[part]),
                   sums, asked, rooms_for(model.ink_count), found[part], costs[part])

    share_rows(len(targets), work, least=64)
    return found, costs


def best_of_starts(model: PrintModel, targets: FloatArray, wishes: FloatArray, seeds: Seeds,
                   preferences: TonePreferences) -> FloatArray:
    """Solve every row from its nearest seeds and keep the best; tones of shape (N, k).

    The first starts also agree with the wish for black; rows that they leave short of their
    colour try again from seeds that agree in colour alone.
    """
    best = np.empty((len(targets), model.ink_count))
    least = np.full(len(targets), np.inf)
    rows = np.arange(len(targets))
    black = preferences.black_ink
    for axis, tries in ((_BLACK_AXIS if black is not None else 0.0, _SEED_TRIES),
                        (0.0, _MORE_TRIES)):
        near = _nearest_seeds(np.column_stack([targets, axis * wishes])[rows],
                              np.column_stack([seeds.lab, axis * seeds.tones[:, black or 0]]),
                              tries)
        for attempt in range(tries):
            found, costs = improved(model, targets[rows], wishes[rows],
                                    seeds.tones[near[:, attempt]], preferences)
            better = costs < least[rows]
            best[rows[better]], least[rows[better]] = found[better], costs[better]
        rows = rows[least[rows] > _SHORT_COST]
        if len(rows) == 0:
            break
    return best


def _nearest_seeds(wanted: FloatArray, seeds: FloatArray, tries: int) -> NDArray[np.intp]:
    """Indices (N, tries) of the seeds nearest to each row of the same coordinates."""
    from scipy.spatial import cKDTree

    _, nearest = cKDTree(seeds).query(wanted, k=tries)
    return np.asarray(nearest, np.intp)


def invert_direct(model: PrintModel, lab: ArrayLike, preferences: TonePreferences, *,
                  seeds: Seeds | None = None) -> FloatArray:
    """Film tones that print nearest each colour.

    Parameters
    ----------
    model : PrintModel
        Substrate and inks.
    lab : array_like, shape (N, 3), float
        Lab D50 wanted.
    preferences : TonePreferences
        Limits and wishes.
    seeds : Seeds, optional
        From `seed_tones`, to spare making them again.

    Returns
    -------
    ndarray, shape (N, k), float64
        Film tones, 0 to 1, sums within the limit.

    Raises
    ------
    InputProblem
        When the preferences do not fit the model.
    """
    checked_preferences(model, preferences)
    targets = np.ascontiguousarray(np.asarray(lab, np.float64).reshape(-1, 3))
    field_of = seeds or seed_tones(model, preferences.tone_sum_limit)
    white, black = end_colours(field_of)
    wishes = black_wishes(targets, white, black, preferences.black_generation)
    return best_of_starts(model, targets, wishes, field_of, preferences)
