"""Spectral readings: columns of reflectance by wavelength, whatever a program calls them."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from preflight.nouns import counted
from separations.colour.spectra import FIRST_NM, LAST_NM, STEPS_NM, reflectance_to_xyz

FloatArray = NDArray[np.float64]

_NAME = re.compile(r"(?:nm|SPECTRAL_NM_?|SPECTRAL_|SPEC_)([0-9]{3})(?:_?nm)?", re.IGNORECASE)
#: Of 1 or in percent; a patch that fluoresces may reach past white.
REFLECTANCES = (-0.5, 150.0)
#: Reflectances that reach beyond this are in percent.
_UNIT_TOP = 1.5
#: What must have been read at the least, in nm.
_MUST_HOLD = (400, 700)


def wavelength_of(heading: str) -> int | None:
    """Wavelength (nm) of a column such as ``nm380``, ``SPECTRAL_NM_380`` or ``SPEC_380``."""
    found = _NAME.fullmatch(heading)
    return int(found[1]) if found else None


def _step_of(waves: Sequence[int], where: str) -> int:
    """10 or 20 nm; wavelengths that are no row of such steps over the visible range are refused."""
    told = sorted(waves)
    for step in STEPS_NM:
        even = told == list(range(told[0], told[-1] + 1, step)) and told[0] % step == 0
        if (even and FIRST_NM <= told[0] <= _MUST_HOLD[0]
                and _MUST_HOLD[1] <= told[-1] <= LAST_NM):
            return step
    gaps = np.diff(told)
    odd = np.flatnonzero(gaps != np.median(gaps)) if len(gaps) else gaps
    uneven = f", {told[odd[0]]} and {told[odd[0] + 1]} nm next to each other" if len(odd) else ""
    raise InputProblem(
        where=where, found=f"{counted(len(told), 'wavelength')} from {told[0]} to {told[-1]} nm"
                           f"{uneven}",
        would_do="reflectances every 10 or 20 nm, from 400 nm or below to 700 nm or above,")


def even_spectra(waves: Sequence[int], reflectance: FloatArray, where: str,
                 names: Sequence[str]) -> tuple[int, int, FloatArray]:
    """First wavelength and step (nm) of spectra (N, B), and the spectra by rising wavelength.

    Percent become reflectances of 1; what was not read is NaN throughout. ``names`` are what the
    N spectra are of, for messages.

    Raises
    ------
    InputProblem
        When wavelengths are not evenly spaced or too few, or a spectrum has one missing.
    """
    step = _step_of(waves, where)
    read = reflectance[:, np.argsort(waves)]
    missing = np.isnan(read)
    part = missing.any(axis=1) & ~missing.all(axis=1)
    if part.any():
        raise InputProblem(where=f"{where}: {names[int(part.argmax())]}",
                           found="a spectrum with a wavelength missing",
                           would_do="reflectances at all wavelengths, or none of them,")
    full = 100.0 if np.nanmax(read, initial=0.0) > _UNIT_TOP else 1.0
    return min(waves), step, read / full


def spectra_to_xyz(waves: Sequence[int], reflectance: FloatArray, where: str,
                   names: Sequence[str]) -> FloatArray:
    """XYZ D50 (Y = 1 for the perfect diffuser) of spectra (N, B), NaN where nothing was read.

    Raises
    ------
    InputProblem
        As `even_spectra` does.
    """
    first, step, read = even_spectra(waves, reflectance, where, names)
    return reflectance_to_xyz(first, read, step)
