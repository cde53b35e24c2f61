"""Readings that look wrong: far off, out of order, impossible, or exchanged with another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np
from numpy.typing import NDArray

from preflight.job_file.job import Job
from separations.colour.colorimetry import colour_difference
from separations.uses.calibration.curve_fit import MOST_OFF
from separations.uses.calibration.patches import Patch
from separations.uses.calibration.press_fit import InkFit, PressFit
from separations.uses.calibration.readings import Readings

FloatArray = NDArray[np.float64]

#: Exchanged readings fit each other's place this well, in noise or in dE00.
_FITS_OFF = 3.5
_FITS_DE00 = 3.0
#: A solid overprint further than this from its layered solids is looked at. Own rule: layering
#: is an estimate.
_OVERPRINT_DE00 = 15.0
#: Beyond this it is tried in other places.
_DOUBTFUL_DE00 = 6.0
#: A tint further than this, and than so many times the usual tint, from the model.
_TINT_DE00 = 4.0
_TINT_TIMES = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """A reading to look at again.

    Attributes
    ----------
    patch : str
        Its name on the sheet.
    says : str
        What is wrong with it, as one sentence.
    left_out : bool
        Whether the fit did without it.
    """

    patch: str
    says: str
    left_out: bool


def suspect_readings(
    job: Job, patches: Sequence[Patch], readings: Readings, fit: PressFit
) -> tuple[Suspect, ...]:
    """All readings that look wrong, in the order of the sheet."""
    said: dict[int, list[str]] = {}
    out: set[int] = set()
    for table, ink in zip(job.ink, fit.inks, strict=True):
        for place in ink.places[~ink.curve.used]:
            out.add(int(place))
        _far_off(said, table.name, ink)
        _out_of_order(said, patches, ink)
        _exchanged_in_wedge(said, patches, ink)
    _colours(said, patches, readings, fit)
    return tuple(Suspect(patch=patches[place].name, says=" ".join(said[place]),
                         left_out=place in out) for place in sorted(said))


def _far_off(said: dict[int, list[str]], name: str, ink: InkFit) -> None:
    curve = ink.curve
    expected = curve.area_at(ink.wedge.tones)
    for place, area, curve_area, used, tone in zip(
            ink.places, curve.areas, expected, curve.used, ink.wedge.tones, strict=True):
        if used:
            continue
        what = (f"reads as {100 * area:.1f} % of {name} where the others make it "
                f"{100 * curve_area:.1f} %.")
        if area < 0 and tone > 0:
            what = f"is lighter than bare wood, though the film has {100 * tone:g} % of {name}."
        elif area > 1 and tone < 1:
            what = f"is darker than the solid of {name}, at {100 * tone:g} %."
        said.setdefault(int(place), []).append(what[0].upper() + what[1:])


def _out_of_order(said: dict[int, list[str]], patches: Sequence[Patch], ink: InkFit) -> None:
    """Neighbouring steps of one pass of which the higher film tone prints clearly lighter.

    Steps of which one is far off are told of already.
    """
    rows = np.array([patches[place].row for place in ink.places])
    for row in np.unique(rows):
        order = np.flatnonzero(rows == row)
        order = order[np.argsort(ink.wedge.tones[order])]
        for low, high in pairwise(order):
            fall = ink.curve.areas[low] - ink.curve.areas[high]
            spread = ink.curve.noise * float(np.hypot(*ink.curve.area_sd[[low, high]]))
            told = not ink.curve.used[[low, high]].all()
            if fall > MOST_OFF * spread and not told:
                said.setdefault(int(ink.places[high]), []).append(
                    f"Prints lighter than {patches[ink.places[low]].name}, though its film tone "
                    f"is higher ({100 * ink.wedge.tones[high]:g} against "
                    f"{100 * ink.wedge.tones[low]:g} %).")


def _exchanged_in_wedge(said: dict[int, list[str]], patches: Sequence[Patch],
                        ink: InkFit) -> None:
    curve = ink.curve
    expected = curve.area_at(ink.wedge.tones)
    off = np.flatnonzero(~curve.used)
    spread = _FITS_OFF * curve.noise * curve.area_sd
    for one, other in combinations(off, 2):
        if (abs(curve.areas[one] - expected[other]) < spread[one]
                and abs(curve.areas[other] - expected[one]) < spread[other]):
            _say_exchanged(said, patches, int(ink.places[one]), int(ink.places[other]))


def _colours(said: dict[int, list[str]], patches: Sequence[Patch], readings: Readings,
             fit: PressFit) -> None:
    """Overprints far from what the model makes of them, and colours that fit another place."""
    kinds = np.array([patch.kind for patch in patches])
    read = ~np.isnan(fit.de00)
    tints = read & (kinds != "solid overprint")
    usual = float(np.median(fit.de00[tints])) if tints.any() else 0.0
    most = np.where(kinds == "solid overprint", _OVERPRINT_DE00,
                    max(_TINT_DE00, _TINT_TIMES * usual))
    strange = [int(p) for p in np.flatnonzero(read & (np.nan_to_num(fit.de00) > most))]
    for place in strange:
        if kinds[place] != "wedge":
            said.setdefault(place, []).append(
                f"Lies ΔE00 {fit.de00[place]:.1f} from what its inks should make.")
    doubtful = np.flatnonzero(read & (kinds == "solid overprint")
                              & (np.nan_to_num(fit.de00) > _DOUBTFUL_DE00))
    candidates = sorted({*strange, *map(int, doubtful), *(p for p in said if read[p])})
    for one, other in combinations(candidates, 2):
        swapped = colour_difference(fit.predicted_lab[[one, other]],
                                    readings.lab[[other, one]])
        # layering is only an estimate, so between solid overprints the gain must be clear
        if kinds[one] == kinds[other] == "solid overprint":
            fits = swapped.max() < 0.5 * min(fit.de00[one], fit.de00[other])
        else:
            fits = swapped.max() < max(_FITS_DE00, 2.0 * usual)
        if fits:
            _say_exchanged(said, patches, one, other)


def _say_exchanged(said: dict[int, list[str]], patches: Sequence[Patch], one: int,
                   other: int) -> None:
    for place, with_place in ((one, other), (other, one)):
        text = (f"Its reading would fit {patches[with_place].name} and the other way round: "
                "exchanged?")
        if text not in said.setdefault(place, []):
            said[place].append(text)
