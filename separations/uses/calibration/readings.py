"""The operator's readings: the filled list of patches, whatever spreadsheet saved it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from separations.colour.colorimetry import colour_difference, xyz_to_lab
from separations.colour.measured_files.cgats_text import is_device_field
from separations.colour.measured_files.measuring_condition import MeasuringCondition
from separations.colour.measured_files.patch_rows import PATCH_COLUMN, Rows
from separations.colour.measured_files.reading_tables import number_in
from separations.colour.measured_files.spectral_columns import (
    REFLECTANCES,
    spectra_to_xyz,
    wavelength_of,
)
from separations.colour.press_profile import ReadFrom
from separations.uses.calibration.patches import READING_COLUMNS, Patch, tone_column

FloatArray = NDArray[np.float64]

#: What each reading may be. A white ink's densities are below those of the wood.
_RANGES = {"D": (-1.0, 6.0), "L": (0.0, 100.0), "a": (-128.0, 128.0), "b": (-128.0, 128.0),
           "X": (0.0, 120.0), "Y": (0.0, 120.0), "Z": (0.0, 120.0)}
#: Noise to expect of a density. Common practice, no source.
DENSITY_NOISE = 0.01
#: CIELAB and XYZ of one reading may differ by this (dE00) through rounding. Own rule.
_SAME_DE00 = 2.0
#: Y of every patch below this: the readings have 1, not 100, for the perfect diffuser.
_UNIT_Y = 1.2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Readings:
    """What was read of each patch of a sheet; NaN where it was not.

    Attributes
    ----------
    density : ndarray, shape (N,), float64
        Density.
    lab : ndarray, shape (N, 3), float64
        CIELAB D50.
    condition : MeasuringCondition
        What they were made with, as the file of a measuring program tells.
    read_from : {"instrument", "scan"}
        Whether a meter read them, or a picture of the sheet.
    density_noise : ndarray, shape (N,), float64, or None
        Deviation of each density that repeats tell; None for what a meter's is expected to be.
    shared_sd : ndarray, shape (N,), float64, or None
        Deviation of each patch's tone value (0 to 1) that all of an ink's patches share, so that
        no repeat tells it; None where there is none.
    lab_noise : ndarray, shape (3,), float64, or None
        Deviation of each coordinate of all colours, which no repeat lessens; None where repeats
        and what a fit leaves over tell it.
    """

    density: FloatArray
    lab: FloatArray
    condition: MeasuringCondition = field(default_factory=MeasuringCondition)
    read_from: ReadFrom = "instrument"
    density_noise: FloatArray | None = None
    shared_sd: FloatArray | None = None

    lab_noise: FloatArray | None = None

    def noise_of(self, places: NDArray[np.int64]) -> FloatArray:
        """Deviation to expect of the densities at these places."""
        if self.density_noise is None:
            return np.full(len(places), DENSITY_NOISE)
        return np.asarray(self.density_noise[places])


def readings_in(table: Rows, condition: MeasuringCondition, path: Path, job: Job,
                patches: Sequence[Patch]) -> Readings:
    """The readings of a sheet's patches, from the rows of a file.

    Parameters
    ----------
    table : list of rows
        From `separations.colour.measured_files.reading_tables.measured_rows`; columns in any order,
        readings of any kind, patches that were not read left empty or out.
    condition : MeasuringCondition
        How they were measured.
    path : Path
        The file, for messages.
    job : Job
        The job whose sheet it is.
    patches : sequence of Patch
        The sheet's patches.

    Raises
    ------
    InputProblem
        When the list is of another sheet, holds a patch twice, a reading that is no number or out
        of range, a colour with a coordinate missing, two colours that differ, or nothing at all.
    """
    known = {PATCH_COLUMN, *READING_COLUMNS, *(tone_column(ink.name) for ink in job.ink)}
    for heading in dict.fromkeys(heading for _, row in table for heading in row):
        if (heading not in known and wavelength_of(heading) is None
                and not is_device_field(heading)):
            raise InputProblem(where=f"{path}: heading", found=f"'{heading}'",
                               would_do="one of " + ", ".join(f"'{k}'" for k in sorted(known))
                                        + ", 'nm400', 'nm410' and so on")
    places = {patch.name: place for place, patch in enumerate(patches)}
    waves = {heading: wave for _, row in table for heading in row
             if (wave := wavelength_of(heading)) is not None}
    figures = {name: np.full(len(patches), np.nan) for name in READING_COLUMNS}
    spectra = np.full((len(patches), len(waves)), np.nan)
    seen: dict[str, str] = {}
    for place, row in table:
        name = row.get(PATCH_COLUMN, "").upper()
        where = f"{path}: {place}, patch {name}"
        if name not in places:
            raise InputProblem(where=f"{path}: {place}", found=f"the patch '{name[:40]}'",
                               would_do=f"one from {patches[0].name} to {patches[-1].name} of "
                                        "the sheet")
        if name in seen:
            raise InputProblem(where=where, would_do="one row for each patch",
                               found=f"a second row for it, after {seen[name]}")
        seen[name] = place
        _check_tones(row, patches[places[name]], job, where)
        for column in READING_COLUMNS:
            if row.get(column):
                figures[column][places[name]] = number_in(
                    row[column], f"{where}, {column}", *_RANGES[column], "a reading")
        spectra[places[name]] = [
            number_in(row[heading], f"{where}, {heading}", *REFLECTANCES, "a reflectance")
            if row.get(heading) else np.nan for heading in waves]
    if waves:
        _take_spectra(figures, spectra_to_xyz(
            list(waves.values()), spectra, str(path), [f"patch {patch.name}" for patch in patches]),
            path, patches)
    return replace(_readings(figures, path, patches), condition=condition)


def _take_spectra(figures: dict[str, FloatArray], xyz: FloatArray, path: Path,
                  patches: Sequence[Patch]) -> None:
    """Put the colours of spectra where the file tells none; Lab beside a spectrum gives way."""
    read = ~np.isnan(xyz[:, 0])
    for name in "Lab":
        figures[name][read] = np.nan
    for axis, name in enumerate("XYZ"):
        figures[name][read] = xyz[read, axis] * 100.0
    if read.any() and np.nanmax(xyz[:, 1]) * 100.0 < _UNIT_Y:
        raise InputProblem(where=f"{path}: patch {patches[int(read.argmax())].name}",
                           found="spectra without light", would_do="reflectances")


def _check_tones(row: dict[str, str], patch: Patch, job: Job, where: str) -> None:
    for ink, asked in zip(job.ink, patch.percent, strict=True):
        told = row.get(tone_column(ink.name), "")
        if told and number_in(told, f"{where}, {ink.name}", 0, 100, "a film tone") != asked:
            raise InputProblem(where=f"{where}, {ink.name}", found=f"a film tone of {told} %",
                               would_do=f"{asked:g} %, as the sheet of this job has it,")


def _readings(figures: dict[str, FloatArray], path: Path, patches: Sequence[Patch]) -> Readings:
    lab = np.stack([figures[name] for name in "Lab"], axis=1)
    xyz = np.stack([figures[name] for name in "XYZ"], axis=1)
    for colours, names in ((lab, "L, a and b"), (xyz, "X, Y and Z")):
        half = np.isnan(colours).any(axis=1) & ~np.isnan(colours).all(axis=1)
        if half.any():
            raise InputProblem(where=f"{path}: patch {patches[int(half.argmax())].name}",
                               found="a colour with a coordinate missing", would_do=names)
    both = ~np.isnan(lab[:, 0]) & ~np.isnan(xyz[:, 0])
    full = 1.0 if np.nanmax(xyz[:, 1], initial=0.0) < _UNIT_Y else 100.0
    if both.any():
        apart = colour_difference(xyz_to_lab(xyz[both] / full), lab[both])
        if apart.max() > _SAME_DE00:
            place = np.flatnonzero(both)[int(apart.argmax())]
            raise InputProblem(where=f"{path}: patch {patches[place].name}",
                               found=f"CIELAB and XYZ that differ by ΔE00 {apart.max():.0f}",
                               would_do="one colour for D50 and 2° in both, or one of the two,")
    read = ~np.isnan(xyz[:, 0]) & ~both
    lab[read] = xyz_to_lab(xyz[read] / full)
    if np.isnan(lab).all() and np.isnan(figures["D"]).all():
        raise InputProblem(where=str(path), found="no readings",
                           would_do="densities (D), CIELAB (L, a, b) or XYZ of the patches")
    return Readings(density=figures["D"], lab=lab)
