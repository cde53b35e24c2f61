"""The job's inks as colours, and the print models of them on the job's wood."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np

from preflight.basis import given
from preflight.facts.submission import ProfiledInk
from preflight.files.file_contents import FileContents
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from separations.colour.colorimetry import FloatArray, lab_to_xyz, xyz_to_lab
from separations.colour.ink_colours import InkColour, named_ink, print_model
from separations.colour.ink_figures import Lab
from separations.colour.ink_spectra import ink_spectra, wood_spectrum
from separations.colour.lights import light_named
from separations.colour.press_profile import (
    PressProfile,
    measured_overprints,
    profile_curves,
    with_channel_curves,
)
from separations.colour.press_profile_file import read_press_profile
from separations.colour.print_model import CURVE_ENTRIES, MOST_INKS, PrintModel
from separations.colour.spectral_layering import film_of
from separations.colour.spectral_print import JobSpectra
from separations.colour.tone_curve import (
    PUBLISHED_SCREEN_CURVE,
    STRAIGHT_CURVE,
    ToneCurve,
    tone_curve,
)
from separations.colour.tone_values import area_of_tone_value, solid_share


def profile_of(job: Job) -> PressProfile | None:
    """The job's press profile, if it names one.

    Raises
    ------
    InputProblem
        When the file cannot be read or holds something else, or is of none of the job's inks.
    """
    if job.press_profile is None:
        return None
    path = job.beside(job.press_profile)
    profile = _read_once(path, _CONTENTS.digest(path))
    names = [ink.name for ink in job.ink]  # a profile of exposures alone has no inks
    if profile.ink and not any(profile.of(name) for name in names):
        raise InputProblem(
            where=str(path), found="a profile of " + _listed([ink.name for ink in profile.ink]),
            would_do=f"one of the job's inks, {_listed(names)}, by these names,")
    return profile


def profiled_curve(job: Job, ink: InkTable) -> ToneCurve | None:
    """The ink's measured tone curve, if the job's profile has one; it stands before the job's."""
    profile = profile_of(job)
    if profile is None:
        return None
    return profile_curves(profile).get(ink.name)


def printed_wood_lab(job: Job) -> Lab:
    """CIELAB (D50, 2°) of the bare wood: its press profile's, else the job's."""
    profile = profile_of(job)
    if profile and profile.wood_lab:
        return profile.wood_lab
    return told_wood_lab(job) or job.wood_lab


def told_wood_lab(job: Job) -> Lab | None:
    """CIELAB (D50, 2°) of the bare wood as the job tells it, by its spectrum or as such."""
    if job.wood.reflectance is None:
        return job.wood.lab
    return _d50_lab(wood_spectrum(job.beside(job.wood.reflectance)))


def job_spectra(job: Job) -> JobSpectra | None:
    """Wood and inks as spectra, where all of them have some; else None.

    A press profile that tells colours stands before them, and is for D50 alone.

    Raises
    ------
    InputProblem
        When a file cannot be read or holds something else.
    """
    profile = profile_of(job)
    named = [ink.reflectance for ink in job.ink if ink.reflectance is not None]
    if (job.wood.reflectance is None or len(named) < len(job.ink)
            or (profile is not None and profile.tells_colours)):
        return None
    return JobSpectra(
        names=tuple(ink.name for ink in job.ink),
        wood=wood_spectrum(job.beside(job.wood.reflectance)),
        inks=tuple(ink_spectra(job.beside(name)) for name in named),
        curves=np.stack([curve_of(job, ink).table(CURVE_ENTRIES) for ink in job.ink]),
        n=yule_nielsen_n(job))


def profile_inks(job: Job) -> tuple[ProfiledInk, ...]:
    """What those of the job's inks that its profile has were printed with."""
    profile = profile_of(job)
    found = [] if profile is None else [profile.of(ink.name) for ink in job.ink]
    return tuple(ProfiledInk(name=ink.name, threads_per_cm=ink.threads_per_cm,
                             thread_um=ink.thread_um, ruling_lpcm=ink.ruling_lpcm, seen=ink.seen)
                 for ink in found if ink is not None)


@lru_cache(maxsize=8)
def _read_once(path: Path, _content: str) -> PressProfile:
    return read_press_profile(path)


_CONTENTS = FileContents()
#: Yule-Nielsen factor where nothing was measured: full scatter in the wood.
DEFAULT_N = 2.0


def photo_model(job: Job) -> PrintModel:
    """The photograph's inks on what lies beneath them: the wood, or the underbase's solid."""
    return _part_of(whole_model(job), job, ("photo",), beneath=("underbase",))


def separation_model(job: Job) -> PrintModel:
    """What the photograph is separated for: the underbase, if there is one, and its inks."""
    return _part_of(whole_model(job), job, ("underbase", "photo"))


def highlight_model(job: Job) -> PrintModel:
    """The same with the highlight white over them, which the job must have."""
    return _part_of(whole_model(job), job, ("underbase", "photo", "highlight white"))


def _part_of(whole: PrintModel, job: Job, prints: tuple[str, ...],
             beneath: tuple[str, ...] = ()) -> PrintModel:
    """Some of a model's inks, with others solid beneath them: the same overprints as the whole's.

    In print order, so that proof and separation never differ on a colour.
    """
    kept = [place for place, ink in enumerate(job.ink) if ink.prints in prints]
    always = sum(1 << place for place, ink in enumerate(job.ink) if ink.prints in beneath)
    rows = [always + sum((index >> bit & 1) << place for bit, place in enumerate(kept))
            for index in range(1 << len(kept))]
    return replace(whole, ink_names=tuple(whole.ink_names[place] for place in kept),
                   primaries_rgb=whole.primaries_rgb[rows], measured=whole.measured[rows],
                   curves=np.ascontiguousarray(whole.curves[kept]))


def whole_model(job: Job, lighter: float = 1.0, *, readings: bool = True) -> PrintModel:
    """Wood and all the job's inks, in print order; for proofs.

    Parameters
    ----------
    job : Job
        The job.
    lighter : float
        Take wood that reflects so many times as much.
    readings : bool
        Whether solids and overprints of the job's press profile stand as they were read.

    Raises
    ------
    InputProblem
        When there are more inks than the model takes.
    """
    if len(job.ink) > MOST_INKS:
        raise InputProblem(where=f"{job.path}: ink", found=f"{len(job.ink)} inks",
                           would_do=f"at most {MOST_INKS}")
    spectra = job_spectra(job)
    if spectra is not None:
        return spectra.printed_on(spectra.wood * lighter).under(light_named("D50"))
    wood = xyz_to_lab(lab_to_xyz(printed_wood_lab(job)) * lighter)
    return model_on(job, (float(wood[0]), float(wood[1]), float(wood[2])), readings=readings)


def ink_colour(job: Job, ink: InkTable) -> InkColour:
    """The colour of one of the job's inks.

    Raises
    ------
    InputProblem
        When its colour is named and there is no such name.
    """
    if ink.over_white is not None:
        return InkColour(name=ink.name, lab=ink.over_white, lab_over_black=ink.over_black,
                         opacity=ink.opacity or 0.0, source=given("the job file"))
    if ink.reflectance is not None:
        read = ink_spectra(job.beside(ink.reflectance))
        bare, _ = film_of(read, 0.0)
        return InkColour(name=ink.name, lab=_d50_lab(read.over_white),
                         lab_over_black=_d50_lab(bare), white_lab=_d50_lab(read.white),
                         source=given("the job's spectra"))
    return named_ink(ink.colour or "", f"{job.path}: ink[{_place_of(ink, job)}].colour")


def curve_of(job: Job, ink: InkTable) -> ToneCurve:
    """How one ink's film tones print.

    Raises
    ------
    InputProblem
        When the job's pairs are no rising curve.
    """
    return profiled_curve(job, ink) or told_curve(job, ink)


def told_curve(job: Job, ink: InkTable) -> ToneCurve:
    """The tone curve that the job itself tells for an ink.

    Raises
    ------
    InputProblem
        When the job's pairs are no rising curve.
    """
    told = ink.tone_curve or job.halftone.tone_curve
    if told == "published":
        return _as_areas(PUBLISHED_SCREEN_CURVE, job, ink)
    if isinstance(told, str):
        return STRAIGHT_CURVE
    where = f"ink[{_place_of(ink, job)}]" if ink.tone_curve else "halftone"
    films, prints = zip(*told, strict=True)
    curve = tone_curve(films, prints, name="the job's readings",
                       where=f"{job.path}: {where}.tone_curve")
    if job.halftone.tone_curve_tells == "area":
        return curve
    return _as_areas(curve, job, ink)


def _as_areas(curve: ToneCurve, job: Job, ink: InkTable) -> ToneCurve:
    """A curve of tone values as one of areas on the job's wood."""
    areas = area_of_tone_value(curve.printed, solid_on_wood(job, ink), yule_nielsen_n(job))
    return replace(curve, printed=np.clip(areas, 0.0, 1.0))


def solid_on_wood(job: Job, ink: InkTable) -> float:
    """Reflectance of an ink's solid over that of the wood, as `solid_share` has it."""
    profile = profile_of(job)
    pressed = profile.of(ink.name) if profile else None
    wood = printed_wood_lab(job)
    if pressed is not None and pressed.solid_lab is not None:
        return solid_share(lab_to_xyz(wood), lab_to_xyz(pressed.solid_lab))
    ends = print_model(wood, [ink_colour(job, ink)]).primaries_lab
    return solid_share(*lab_to_xyz(ends))


def yule_nielsen_n(job: Job) -> float:
    """How far light scatters between the dots: the press profile's factor, else full scatter."""
    profile = profile_of(job)
    return profile.n if profile else DEFAULT_N


def model_on(job: Job, beneath: Lab, *, readings: bool = True) -> PrintModel:
    """All the job's inks, in print order, on wood of a colour of one's own.

    Parameters
    ----------
    job : Job
        The job.
    beneath : tuple of float
        CIELAB D50 of that wood.
    readings : bool
        Whether solids and overprints of the job's press profile stand as they were read.
    """
    inks = job.ink
    colours: list[InkColour] = []
    for ink in inks:
        colour = ink_colour(job, ink)
        # A process ink keeps its own name, by which its measured overprints are found.
        taken = {c.name for c in colours}
        colours.append(replace(colour, name=f"{ink.name} (again)") if colour.name in taken
                       else colour)
    profile = profile_of(job)
    called = {ink.name: colour.name for ink, colour in zip(inks, colours, strict=True)}
    model = print_model(
        beneath, colours, tone_curves=[curve_of(job, ink) for ink in inks],
        n=yule_nielsen_n(job), absorbent=job.wood_absorption > 0.0,
        measured_overprints=measured_overprints(profile, called) if profile and readings else None)
    return with_channel_curves(model, [ink.name for ink in inks], profile) if profile else model


def _listed(names: list[str]) -> str:
    return ", ".join(f"'{name}'" for name in names)


def _d50_lab(spectrum: FloatArray) -> Lab:
    light, a, b = (float(v) for v in light_named("D50").lab(spectrum))
    return light, a, b


def _place_of(ink: InkTable, job: Job) -> int:
    """The ink's place in print order, from 1."""
    return [one.name for one in job.ink].index(ink.name) + 1
