"""Each ink's register against the first, from the register marks of all pictures together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

from preflight.nouns import counted
from preflight.press.seen_print import SeenRegister
from separations.uses.calibration.wedge_films import WedgeSheet
from separations.uses.press_scan.register_reading import MarkShift

FloatArray = NDArray[np.float64]

#: Fewer marks than this do not tell where an ink lies. Own rule.
LEAST_MARKS = 4
#: A mark further from the others' line than this many deviations is left out, but none within so
#: many mm. Own rules.
_MOST_OFF, _NO_LESS_MM = 4.0, 0.05
#: What a mark's reading is off at the least (mm, one deviation), and what the squares' edges are
#: off together, printed thicker on one side than the other. Own rules.
_LEAST_OFF_MM, _EDGES_OFF_MM = 0.005, 0.003
#: Two-sided 90 %.
_QUANTILE = 0.95


def ink_registers(marks: Sequence[MarkShift], laid: WedgeSheet, first: str
                  ) -> Mapping[int, SeenRegister]:
    """Register of each ink that enough marks tell, by its place in print order from 0.

    Parameters
    ----------
    marks : sequence of MarkShift
        All marks that were read.
    laid : WedgeSheet
        The sheet, in whose middle the register is told.
    first : str
        The first ink's name.
    """
    least_x, least_y, greatest_x, greatest_y = laid.sheet.trim_bounds_mm
    middle = np.array([(greatest_y - least_y) / 2, (greatest_x - least_x) / 2])
    found = {}
    for ink in sorted({mark.ink for mark in marks}):
        own = [mark for mark in marks if mark.ink == ink]
        if len(own) >= LEAST_MARKS:
            seen = _fitted(np.array([mark.at_mm for mark in own]) - middle,
                           np.array([mark.shift_mm for mark in own]), first)
            if seen is not None:
                found[ink] = seen
    return found


def _fitted(at_mm: FloatArray, shift_mm: FloatArray, first: str) -> SeenRegister | None:
    """Shift in the middle and turn; None where marks contradict each other."""
    kept = np.ones(len(at_mm), np.bool_)
    for _ in range(3):
        terms, told = _terms(at_mm[kept]), shift_mm[kept].ravel()
        fitted = np.linalg.lstsq(terms, told, rcond=None)[0]
        off = np.linalg.norm((shift_mm.ravel() - _terms(at_mm) @ fitted).reshape(-1, 2), axis=1)
        # the median of distances in two directions is 1.18 deviations of one
        deviation = float(np.median(off[kept])) / np.sqrt(2 * np.log(2.0))
        kept = off <= max(_MOST_OFF * deviation, _NO_LESS_MM)
        if kept.sum() < LEAST_MARKS:
            return None
    terms, told = _terms(at_mm[kept]), shift_mm[kept].ravel()
    fitted = np.linalg.lstsq(terms, told, rcond=None)[0]
    free = len(told) - terms.shape[1]
    spread = max(float(np.sqrt(np.sum((told - terms @ fitted) ** 2) / free)), _LEAST_OFF_MM)
    covariance = spread**2 * np.linalg.pinv(terms.T @ terms)
    wide = float(stdtrit(free, _QUANTILE))
    over, down, turn = fitted
    within = wide * np.hypot(np.sqrt(max(covariance[0, 0], covariance[1, 1])), _EDGES_OFF_MM)
    return SeenRegister(
        to=first,
        along_mm=round(-float(down), 3), across_mm=round(-float(over), 3),
        within_mm=round(float(within), 3), turn_deg=round(float(np.degrees(turn)), 4),
        turn_within_deg=round(float(np.degrees(wide * np.sqrt(covariance[2, 2]))), 4))


def _terms(at_mm: FloatArray) -> FloatArray:
    """What shifts to the right and down, and a turn anticlockwise, move each mark by."""
    count = len(at_mm)
    terms = np.zeros((count, 2, 3))
    terms[:, 0, 0] = terms[:, 1, 1] = 1.0
    terms[:, 0, 2], terms[:, 1, 2] = at_mm[:, 1], -at_mm[:, 0]
    return terms.reshape(2 * count, 3)


def unread_register_told(names: Sequence[str], marks: int) -> str:
    """That inks' register was not read, as a sentence."""
    return (f"Register of {' and '.join(names)} not read: {counted(marks, 'register mark')} could "
            f"be read, and {LEAST_MARKS} an ink are needed. Sheets printed before there were such "
            "marks have none, and inks more than 0.6 mm apart are not told from each other.")
