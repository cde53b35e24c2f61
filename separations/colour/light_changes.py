"""What other lights do to a job's print: how colours move, and how pairs that agree part."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import compress

import numpy as np

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from separations.colour.colorimetry import FloatArray, colour_difference, xyz_to_lab
from separations.colour.job_inks import profile_of
from separations.colour.lights import Light, light_named
from separations.colour.metamerism import metamerism_index, smoothest_spectrum
from separations.colour.spectral_print import SpectralPrint
from separations.colour.varnish import print_under
from separations.ink_need.ink_table import inert

#: Tints of the black ink whose greys the other inks are to match.
_GREY_TONES = (0.25, 0.5, 0.75)
#: Pairs further apart than this (ΔE00) under D50 do not agree.
_AGREE = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class LightChange:
    """One colour of a print under one light.

    Attributes
    ----------
    light, colour : str
        The light, and what is printed: ``bare wood``, inks solid on each other, or a tint.
    lab_d50, lab : tuple of three float
        CIELAB under D50, and what looks under D50 as the colour looks under the light.
    moves_de00 : float
        ΔE00 between the two: how inconstant the colour is, to an eye that has adapted.
    beside : str
        What agrees with it under D50.
    parts_de00 : float or None
        ΔE00 under the light between the two; None where nothing that agrees was found.
    """

    light: str
    colour: str
    lab_d50: tuple[float, float, float]
    lab: tuple[float, float, float]
    moves_de00: float
    beside: str
    parts_de00: float | None


def printed_spectra(job: Job, lighter: float = 1.0) -> SpectralPrint:
    """The job's print as spectra, under its varnish, on wood that reflects so many times as much.

    Raises
    ------
    InputProblem
        When wood or an ink has no spectrum, or a press profile tells colours for D50 alone.
    """
    found = print_under(job, job.finish.varnish, lighter)
    if found is not None:
        return found
    asked = "spectra of the wood and of each ink ('reflectance'), for proofs under other lights,"
    for number, ink in enumerate(job.ink, 1):
        if ink.reflectance is None:
            raise InputProblem(where=f"{job.path}: ink[{number}].reflectance",
                               found=f"no spectrum of '{ink.name}'", would_do=asked)
    if job.wood.reflectance is None:
        raise InputProblem(where=f"{job.path}: wood.reflectance", found="no spectrum of the wood",
                           would_do=asked)
    profile = profile_of(job)
    raise InputProblem(
        where=f"{job.path}: press_profile",
        found=f"the profile of {profile.date if profile else ''}, whose colours are for D50 alone",
        would_do="the job without it, for proofs under other lights,")


def light_changes(job: Job, lights: Sequence[Light]) -> tuple[LightChange, ...]:
    """How wood, solids and overprints change under lights; then greys of black and of others.

    Raises
    ------
    InputProblem
        As `printed_spectra` does.
    """
    printed, d50 = printed_spectra(job), light_named("D50")
    pairs = [*_solids(printed, d50), *_greys(job, printed, d50)]
    return tuple(_change(light, d50, *pair) for light in lights for pair in pairs)


def light_csv(changes: Sequence[LightChange]) -> str:
    """The changes as a table."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["light", "colour", "L D50", "a D50", "b D50", "L", "a", "b", "moves dE00",
                     "agrees under D50", "parts dE00"])
    for one in changes:
        writer.writerow([one.light, inert(one.colour), *(f"{v:.2f}" for v in one.lab_d50),
                         *(f"{v:.2f}" for v in one.lab), f"{one.moves_de00:.2f}",
                         inert(one.beside),
                         "" if one.parts_de00 is None else f"{one.parts_de00:.2f}"])
    return text.getvalue()


_Pair = tuple[str, FloatArray, str, FloatArray | None]


def _solids(printed: SpectralPrint, d50: Light) -> Iterator[_Pair]:
    for index, spectrum in enumerate(printed.primaries):
        there = (bool(index >> bit & 1) for bit in range(len(printed.ink_names)))
        name = " + ".join(compress(printed.ink_names, there)) or "bare wood"
        yield name, spectrum, "the smoothest spectrum", smoothest_spectrum(spectrum, d50)


def _greys(job: Job, printed: SpectralPrint, d50: Light) -> Iterator[_Pair]:
    """Tints of the black ink, and the tints of the photograph's others that agree under D50."""
    from scipy.optimize import least_squares

    others = [place for place, ink in enumerate(job.ink) if ink.prints == "photo"
              and ink.name != job.separation.black_ink]
    if job.separation.black_ink is None or len(others) < 3:
        return
    black = [ink.name for ink in job.ink].index(job.separation.black_ink)
    for tone in _GREY_TONES:
        tones = np.zeros((1, len(job.ink)))
        tones[0, black] = tone
        alone = printed.spectra(tones)[0]
        tones[0, black] = 0.0

        def mixed(part: FloatArray, tones: FloatArray = tones) -> FloatArray:
            tones[0, others] = part
            return np.asarray(printed.spectra(tones)[0])

        def off(part: FloatArray, alone: FloatArray = alone) -> FloatArray:
            return np.asarray(d50.lab(mixed(part)) - d50.lab(alone))

        found = least_squares(off, np.full(len(others), 0.8 * tone), bounds=(0.0, 1.0)).x
        spectrum = mixed(found)
        if colour_difference(d50.lab(spectrum), d50.lab(alone)) > _AGREE:
            continue
        shares = zip(others, found, strict=True)
        yield (f"{job.ink[black].name} {100 * tone:.0f} %", alone,
               " + ".join(f"{job.ink[place].name} {100 * share:.0f} %" for place, share in shares
                          if share >= 0.005), spectrum)


def _change(light: Light, d50: Light, name: str, spectrum: FloatArray, beside: str,
            agreeing: FloatArray | None) -> LightChange:
    before, now = d50.lab(spectrum), xyz_to_lab(light.to_d50 @ light.xyz(spectrum))
    return LightChange(
        light=light.name, colour=name, lab_d50=_told(before), lab=_told(now),
        moves_de00=float(colour_difference(before, now)), beside=beside,
        parts_de00=None if agreeing is None else float(
            metamerism_index(spectrum, agreeing, light)))


def _told(lab: FloatArray) -> tuple[float, float, float]:
    light, a, b = (float(value) for value in lab)
    return light, a, b
