"""The nearest ruling, angle or mesh turn at which a beat is out of sight."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from itertools import islice

from preflight.facts.moire_facts import SEEN_WHEN_LOOKED_FOR, Clearing, ClearSetting
from preflight.press.grating_beats import gap_between_deg
from preflight.press.mesh import Mesh
from preflight.units import MM_PER_INCH
from separations.measuring.moire.ink_pair_moire import expected_pair_times, pair_moire
from separations.measuring.moire.mesh_moire import TintInk, at, expected_times, mesh_moire

#: Candidates are taken where the expected beat keeps this share of the limit.
_SPARE = 0.8
#: Beneath this share of it no simulation is needed.
_SURE = 0.3
#: Most candidates of each kind that are simulated.
_MOST_TRIED = 3
_COARSEST_LPI = 15
#: Plain weaves on sale, threads/cm and µm. Source: nominal cloths in makers' lists.
_CLOTHS = ((43, 80), (48, 70), (55, 64), (61, 64), (68, 55), (77, 48), (90, 48), (100, 40),
           (110, 34), (120, 34), (140, 34), (150, 31), (165, 31))
_LPI_STEPS = (1, -1, 2, -2, 3, -3, 4, -4, 5, -5, 6, -6, 8, -8, 10, -10, 12, -12, 15, -15)
_TURNS_DEG = (2.5, -2.5, 5.0, -5.0, 7.5, -7.5, 10.0, -10.0, 12.5, -12.5, 15.0, -15.0, 17.5, -17.5,
              20.0, -20.0, 22.5, -22.5)


def clear_settings(ink: TintInk, others: Sequence[TintInk]) -> tuple[ClearSetting, ...]:
    """What clears an ink's beat with its mesh, each setting confirmed on simulated prints.

    Parameters
    ----------
    ink : TintInk
        The ink.
    others : sequence of TintInk
        The job's other inks: a turned mesh is to clear them too, a turned ink to keep away from
        them.

    Returns
    -------
    tuple of ClearSetting
        At most one each for ruling, angle, mesh turn and, where none of these helps,
        mesh count.
    """
    lpi = round(ink.spec.ruling_lpcm * MM_PER_INCH / 10)
    ruling = _first((lpi + step for step in _LPI_STEPS if lpi + step > _COARSEST_LPI),
                    lambda value: [at(ink, ruling_lpcm=value * 10 / MM_PER_INCH)])
    same_cloth = [o for o in others if o.mesh == ink.mesh]
    turn = _first((ink.mesh.angle_deg + t for t in _TURNS_DEG),
                  lambda value: [at(o, mesh_deg=value) for o in (ink, *same_cloth)])
    kept = min((gap_between_deg(ink.spec.angle_deg, o.spec.angle_deg) for o in others),
               default=0.0)
    angle = _first(
        (a for a in (ink.spec.angle_deg + t for t in _TURNS_DEG)
         if all(gap_between_deg(a, o.spec.angle_deg) >= min(kept, 29.5) for o in others)),
        lambda value: [at(ink, angle_deg=value)])
    found: tuple[tuple[Clearing, float | None], ...] = (
        ("ruling", ruling), ("angle", None if angle is None else angle % 180),
        ("mesh angle", turn))
    return tuple(ClearSetting(ink=ink.name, what=what, value=value)
                 for what, value in found if value is not None) or _finer_cloth(ink)


def _finer_cloth(ink: TintInk) -> tuple[ClearSetting, ...]:
    """The coarsest finer cloth on sale that clears the beat; none if none does."""
    finer = [(count, thread) for count, thread in _CLOTHS if count > ink.mesh.threads_per_cm + 1]

    def with_cloth(number: float) -> list[TintInk]:
        count, thread = finer[int(number)]
        return [replace(ink, mesh=Mesh(threads_per_cm=count, thread_um=thread,
                                       angle_deg=ink.mesh.angle_deg))]

    found = _first(map(float, range(len(finer))), with_cloth)
    if found is None:
        return ()
    count, thread = finer[int(found)]
    return (ClearSetting(ink=ink.name, what="mesh", value=count, thread_um=thread),)


def _first(values: Iterable[float],
           inks_at: Callable[[float], list[TintInk]]) -> float | None:
    """The first value at which no ink's beat is expected to show, nor shows when simulated.

    Inks whose beats are expected far beneath the limit, such as yellow, are not simulated again.
    """
    hopeful = (value for value in values
               if all(expected_times(i) < _SPARE * SEEN_WHEN_LOOKED_FOR for i in inks_at(value)))
    return next((value for value in islice(hopeful, _MOST_TRIED)
                 if all(mesh_moire(i).times_threshold < SEEN_WHEN_LOOKED_FOR
                        for i in inks_at(value)
                        if expected_times(i) > _SURE * SEEN_WHEN_LOOKED_FOR)), None)


def clear_pair_settings(one: TintInk, other: TintInk, both_y: float,
                        rest: Sequence[TintInk]) -> tuple[ClearSetting, ...]:
    """The nearest angle of the second ink at which a pair does not beat, confirmed on dots.

    Parameters
    ----------
    one, other : TintInk
        The pair.
    both_y : float
        Luminous reflectance where both solids lie.
    rest : sequence of TintInk
        The job's other inks, from which the second keeps as far as it is now, or 29.5°.
    """
    kept = min((gap_between_deg(other.spec.angle_deg, o.spec.angle_deg) for o in rest),
               default=0.0)
    hopeful = (angle for angle in (other.spec.angle_deg + t for t in _TURNS_DEG)
               if all(gap_between_deg(angle, o.spec.angle_deg) >= min(kept, 29.5) for o in rest)
               and expected_pair_times(one, at(other, angle_deg=angle), both_y)
               < _SPARE * SEEN_WHEN_LOOKED_FOR)
    found = next((a for a in islice(hopeful, _MOST_TRIED)
                  if pair_moire(one, at(other, angle_deg=a), both_y).times_threshold
                  < SEEN_WHEN_LOOKED_FOR), None)
    return () if found is None else (
        ClearSetting(ink=other.name, what="angle", value=found % 180),)
