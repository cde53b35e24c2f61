"""Several pictures of one sheet as one set of densities, each ink in the colour it shows best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from separations.colour.tone_values import tone_value_of_light
from separations.uses.calibration.patches import Patch
from separations.uses.press_scan.scan_reading import ScanReading
from separations.uses.press_scan.told_wedge import told_wedge
from separations.uses.press_scan.unfit_inks import COLOURS, need_quiet, need_solid

FloatArray = NDArray[np.float64]

_LEAST_LIGHT = 1e-4
#: Density of a solid in a colour by which the curve of the picture's levels is judged.
_DARK = 0.4
#: Film tones from which it is judged, and from how far on tone values of one print that differ
#: between colours (mean, 0 to 1) are told and refused. Own rules: made-up scans differ by 0.001,
#: those whose contrast was changed half and nearly wholly by 0.02 and 0.035, JPEGs by 0.03 at
#: most, since they keep fewer colours than lightnesses.
_JUDGED_TONES = (0.2, 0.8)
_APART_TOLD, _MOST_APART = 0.012, 0.03
_APART_TOLD_LOSSY, _MOST_APART_LOSSY = 0.03, 0.05


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JoinedScans:
    """Densities of a sheet read from pictures.

    Attributes
    ----------
    density : ndarray, shape (N,), float64
        Density of each wedge's patches over the wood beside them; NaN where not read.
    light : ndarray, shape (N, 3), float64
        Light of every patch over the wood's in red, green and blue, mean over the pictures.
    noise, shared_sd : ndarray, shape (N,), float64
        Deviation of each density that repeats tell, and of each tone value (0 to 1) that all
        patches of an ink share.
    colours : tuple of str
        For each ink the colour of light in which it was read.
    left_out : tuple of (str, str)
        Patches of wedges that no picture told, with the reason.
    apart : float
        How far (0 to 1) a dark ink's tone values differ between the colours in the mean, where
        that is more than it should be; else 0.
    """

    density: FloatArray
    light: FloatArray
    noise: FloatArray
    shared_sd: FloatArray
    colours: tuple[str, ...]
    left_out: tuple[tuple[str, str], ...]
    apart: float


def join_scans(job: Job, patches: Sequence[Patch], scans: Sequence[ScanReading]) -> JoinedScans:
    """Join pictures of one sheet.

    Raises
    ------
    InputProblem
        When an ink shows in no colour, or colours of light contradict each other as they do once
        a camera has bent the contrast.
    """
    light = _mean([scan.relative for scan in scans])
    softer = _mean([scan.softer for scan in scans])
    wood = _mean([scan.wood for scan in scans])
    spread = _mean([scan.spread for scan in scans])
    lossy = any(scan.lossy for scan in scans)
    density, noise, shared = (np.full(len(patches), value) for value in (np.nan, 0.01, 0.0))
    colours, judged = [], []
    where = ", ".join(str(scan.path) for scan in scans)
    for ink, table in enumerate(job.ink):
        wedge = np.array([place for place, patch in enumerate(patches)
                          if patch.kind == "wedge" and patch.row // 2 == ink])
        tones = np.array([patches[place].tones[ink] for place in wedge])
        solid = -np.log10(np.maximum(_middle(light[wedge][tones == 1.0]), _LEAST_LIGHT))
        shows = (np.abs(solid) / np.maximum(_middle(spread[wedge]), 1e-6)
                 * np.mean(~np.isnan(light[wedge]), axis=0))
        best = int(np.argmax(np.nan_to_num(shows)))
        reasons = _reasons(patches, wedge, scans)
        need_solid(where, table.name, solid, wood, reasons)
        told = told_wedge(light[wedge], softer[wedge], tones, 10.0**-solid, best,
                          lossy=lossy)
        need_quiet(where, table.name, float(np.log(10.0) * told.noise_d
                                            / abs(1.0 - 10.0**-solid[best])), reasons)
        density[wedge] = -np.log10(np.maximum(told.light, _LEAST_LIGHT))
        noise[wedge], shared[wedge] = told.noise_d, told.shared_sd
        colours.append(COLOURS[best])
        judged.append(_apart(light[wedge], tones, solid))
    known = [one for one in judged if not np.isnan(one)]
    apart = max(known) if known else 0.0
    if apart > (_MOST_APART_LOSSY if lossy else _MOST_APART):
        raise InputProblem(
            where=where, found="red, green and blue light that give tone values "
            f"{100 * apart:.0f} points apart for one ink, as where a camera has changed the "
            "contrast",
            would_do="a scan without correction of contrast, a photograph developed straight from "
                     "the sensor's data, or one with a grey scale beside the sheet (--grey-scale),")
    out = [(patch.name, _reason(place, scans)) for place, patch in enumerate(patches)
           if patch.kind == "wedge" and np.isnan(density[place])]
    return JoinedScans(density=density, light=light, noise=noise, shared_sd=shared,
                       colours=tuple(colours), left_out=tuple(out),
                       apart=apart if apart > (_APART_TOLD_LOSSY if lossy else _APART_TOLD)
                       else 0.0)


def _apart(light: FloatArray, tones: FloatArray, solid: FloatArray) -> float:
    """How far a dark ink's tone values by its colours lie apart in the mean; NaN of others.

    What light falls on the wood differs between the colours, so that levels whose curve is not
    the told one bend each colour's tone values otherwise.
    """
    if not (solid > _DARK).all():
        return float("nan")
    tints = (tones >= _JUDGED_TONES[0]) & (tones <= _JUDGED_TONES[1])
    values = tone_value_of_light(light[tints], 10.0**-solid)
    read = values[~np.isnan(values).any(axis=1)]
    return float(np.mean(np.ptp(read, axis=1))) if len(read) else float("nan")


def _mean(readings: Sequence[FloatArray]) -> FloatArray:
    """Mean over pictures of what was read; NaN where none told."""
    known = np.array([~np.isnan(one) for one in readings])
    total = np.sum([np.nan_to_num(one) for one in readings], axis=0)
    count = known.sum(axis=0)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def _middle(light: FloatArray) -> FloatArray:
    """Median of each colour; NaN where none was read."""
    return np.array([np.median(read) if len(read := one[~np.isnan(one)]) else np.nan
                     for one in light.T])


def _reason(place: int, scans: Sequence[ScanReading]) -> str:
    told = dict.fromkeys(scan.left_out[place] for scan in scans if scan.left_out[place])
    return "; ".join(told) or "not read"


def _reasons(patches: Sequence[Patch], wedge: NDArray[np.int64], scans: Sequence[ScanReading]
             ) -> str:
    return "; ".join(dict.fromkeys(
        f"{patches[place].name}: {_reason(place, scans)}" for place in wedge.tolist()
        if patches[place].percent and max(patches[place].percent) == 100.0))
