"""The beat of three inks at once: the rosette's drift, by frequency vectors and dots' spectra.

Three halftones 30° apart have rows whose frequency vectors close to a triangle: the rosette then
stands still. Where an angle is a little off, or a film lies askew, the triangle does not quite
close; what is missing is the frequency at which rosettes with a dot in the middle change into
rosettes with a clear middle, and the colour with them, for the inks overprint more in one than in
the other. Source: frequency vectors of superposed gratings (I. Amidror, The Theory of the Moiré
Phenomenon, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray
from skimage.color import deltaE_ciede2000

from preflight.facts.moire_facts import CAREFUL_DEG, FINEST_BEAT_PERIODS, RosetteFacts
from preflight.press.contrast_sensitivity import sensitivity_to
from separations.colour.colorimetry import lab_to_xyz, xyz_to_lab
from separations.colour.print_model import PrintModel
from separations.measuring.moire.beat_strength import dot_waves
from separations.measuring.moire.beat_words import dots_told
from separations.measuring.moire.mesh_moire import TintInk

_TONES = (0.3, 0.5, 0.7)
#: Rows of each ink: its own and its diagonals.
_ORDERS = tuple((k, j) for k, j in product((-1, 0, 1), repeat=2) if (k, j) != (0, 0))

Numbered = tuple[int, TintInk]
Orders = tuple[tuple[int, int], ...]


def rosettes(inks: Sequence[Numbered], model: PrintModel, *, length_mm: float,
             placement_mm: float) -> tuple[RosetteFacts, ...]:
    """The strongest common beat of every three inks that have one.

    Parameters
    ----------
    inks : sequence of (int, TintInk)
        The photograph's inks that have a ruling, each with its number in the model.
    model : PrintModel
        Their colours.
    length_mm : float
        The board's length, over which films are laid.
    placement_mm : float
        By how much a film's end may lie beside its place.
    """
    askew = math.degrees(math.atan2(placement_mm, length_mm))
    found = (_rosette(three, model, length_mm, askew) for three in combinations(inks, 3))
    return tuple(one for one in found if one is not None)


def vector(ink: TintInk, order: tuple[int, int], askew_deg: float = 0.0) -> NDArray[np.float64]:
    """Frequency vector (per mm, board frame) of a halftone's rows, its film turned a little."""
    turn = math.radians(ink.spec.angle_deg + askew_deg)
    k, j = order
    cos, sin = math.cos(turn), math.sin(turn)
    return np.array([k * cos - j * sin, k * sin + j * cos]) * ink.spec.ruling_lpcm / 10


def _of(ink: TintInk, order: tuple[int, int], askew_deg: float = 0.0) -> tuple[float, float]:
    x, y = vector(ink, order, askew_deg).tolist()
    return x, y


def _added(vectors: Sequence[tuple[float, float]]) -> tuple[float, float]:
    return sum(x for x, _ in vectors), sum(y for _, y in vectors)


def shortest_period_mm(inks: Sequence[TintInk], orders: Orders, askew_deg: float) -> float:
    """The shortest period of three inks' beat with each film up to so much askew (mm)."""
    rows = [[_of(ink, order, turn) for turn in (-askew_deg, 0.0, askew_deg)]
            for ink, order in zip(inks, orders, strict=True)]
    most = max(math.hypot(*_added(three)) for three in product(*rows))
    return 1 / most if most > 1e-9 else math.inf


def _rosette(three: tuple[Numbered, ...], model: PrintModel, length_mm: float,
             askew_deg: float) -> RosetteFacts | None:
    inks = [ink for _, ink in three]
    limit = min(ink.spec.ruling_lpcm for ink in inks) / 10 / FINEST_BEAT_PERIODS
    best: tuple[float, Orders, float] | None = None
    rows = [{order: _of(ink, order) for order in _ORDERS} for ink in inks]
    for orders in product(_ORDERS, repeat=3):
        if orders[0] < (0, 0):  # one of each ± pair
            continue
        if math.hypot(*_added([row[o] for row, o in zip(rows, orders, strict=True)])) > limit:
            continue
        strength, tone = max((_amplitude(inks, orders, t), t) for t in _TONES)
        if best is None or strength > best[0] * 1.001:
            best = strength, orders, tone
    if best is None:
        return None
    _, orders, tone = best
    # The beat at right angles to it, of the same rows turned: both change at once.
    turned = tuple((-j, k) for k, j in orders)
    amplitude = _amplitude(inks, orders, tone) + _amplitude(inks, turned, tone)
    x, y = _added([row[o] for row, o in zip(rows, orders, strict=True)])
    frequency = math.hypot(x, y)
    still = frequency * length_mm < 0.01
    middle, ends = _colours([number for number, _ in three], model, tone, amplitude)
    # Of the two, one stripes the tint; both together make the colour.
    light = abs(float(ends[1][1] - ends[0][1])) / 4 / max(float(middle[1]), 1e-6)
    labs = np.array([xyz_to_lab(end) for end in ends], float)
    reach = shortest_period_mm(inks, orders, 1.0)
    room = 0.5 / length_mm - frequency
    return RosetteFacts(
        inks=(inks[0].name, inks[1].name, inks[2].name),
        told=", ".join(dots_told(o, i.name) for i, o in zip(inks, orders, strict=True)),
        period_mm=math.inf if still else 1 / frequency,
        direction_deg=0.0 if still else math.degrees(math.atan2(y, x)) % 180,
        placement_deg=askew_deg,
        placed_mm=shortest_period_mm(inks, orders, askew_deg),
        careful_mm=shortest_period_mm(inks, orders, CAREFUL_DEG),
        de00=float(deltaE_ciede2000(labs[:1], labs[1:])[0]), tone=tone,
        times_threshold=0.0 if still else light * float(sensitivity_to(frequency)),
        stands_within_deg=max(0.0, room / max(1 / reach - frequency, 1e-9)),
        length_mm=length_mm)


def _amplitude(inks: Sequence[TintInk], orders: Orders, tone: float) -> float:
    """Amplitude (0 to 1) of the area where all three inks lie."""
    return 2 * math.prod(abs(complex(dot_waves(ink.spec.dot_shape, tone)[order]))
                         for ink, order in zip(inks, orders, strict=True))


def _colours(numbers: Sequence[int], model: PrintModel, tone: float, amplitude: float) -> tuple[
        NDArray[np.float64], tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """Mean XYZ of three equal tints, and at the two ends of their common beat.

    Where more of all three lie on each other, fewer lie alone by pairs and more singly: the weight
    of each overprint moves by the amplitude, up for an odd number of inks and down for an even.
    """
    mean, swing = np.zeros(3), np.zeros(3)
    for inked in product((0, 1), repeat=3):
        primary = sum(1 << n for n, one in zip(numbers, inked, strict=True) if one)
        lightness, a, b = (float(v) for v in model.primaries_lab[primary])
        xyz = np.asarray(lab_to_xyz((lightness, a, b)), np.float64)
        mean += math.prod(tone if one else 1 - tone for one in inked) * xyz
        swing += (1 if sum(inked) % 2 else -1) * amplitude * xyz
    return mean, (np.maximum(mean - swing, 1e-6), np.maximum(mean + swing, 1e-6))
