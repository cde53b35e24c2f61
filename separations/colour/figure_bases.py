"""What the figures that a job's colours and ink rest on rest on themselves."""

from __future__ import annotations

from collections.abc import Iterator

from preflight.basis import Basis, Source, given
from preflight.facts.figure_facts import (
    COLOUR_OF_INK,
    COLOUR_OF_WOOD,
    DRAWN_BY_WOOD,
    RestingFigure,
)
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from preflight.nouns import counted
from separations.colour.ink_figures import Lab, ink_figures
from separations.colour.job_inks import (
    DEFAULT_N,
    ink_colour,
    job_spectra,
    printed_wood_lab,
    profile_of,
    told_wood_lab,
)
from separations.colour.press_profile import NINETY, PressProfile, measured_overprints
from separations.ink_need.ink_estimate import TRANSFER
from separations.ink_need.stencil_build_up import OVER_MESH

_LAYERED = "the inks' colours laid on each other and on this wood as films"
_LAYERED_SPECTRA = "the inks' spectra laid on each other and on this wood as films, band by band"
_CURVES = {
    "published": Source(
        basis=Basis.PUBLISHED,
        told="Sefar, \"Half-tone printing process line\": screen printing on another press"),
    "straight": Source(basis=Basis.OWN, told="film tones print as they are")}


def wood_source(job: Job) -> Source:
    """What the colour of the bare wood rests on."""
    profile = profile_of(job)
    if profile and profile.wood_lab:
        return _measured(profile)
    if told_wood_lab(job) is not None:
        return given("the job's [wood] table")
    return ink_figures().substrates["bamboo"].source


def colour_source(job: Job, ink: InkTable) -> Source:
    """What the colour of an ink's solid, on the white that it was read on, rests on.

    Raises
    ------
    InputProblem
        When its colour is named and there is no such name.
    """
    profile = profile_of(job)
    pressed = profile.of(ink.name) if profile else None
    if profile and pressed is not None and pressed.solid_lab is not None:
        return _measured(profile)
    return ink_colour(job, ink).source


def overprint_source(job: Job, inks: tuple[str, ...]) -> Source:
    """What the colour of solids on each other on the wood rests on; of none, that of the wood.

    Parameters
    ----------
    job : Job
        The job.
    inks : tuple of str
        Names of its inks.
    """
    if not inks:
        return wood_source(job)
    profile = profile_of(job)
    if profile and frozenset(inks) in measured_overprints(profile):
        return _measured(profile)
    invented = [ink.name for ink in job.ink
                if ink.name in inks and colour_source(job, ink).basis is Basis.INVENTED]
    return Source(basis=Basis.PREDICTED,
                  told=_layered(job) + (f", {' and '.join(invented)} invented" if invented else ""))


def resting_figures(job: Job) -> tuple[RestingFigure, ...]:
    """All that proof, films and ink of a job rest on, each with its basis.

    Raises
    ------
    InputProblem
        When an ink's colour is named and there is no such name, or the profile cannot be read.
    """
    return tuple(_figures(job))


def _figures(job: Job) -> Iterator[RestingFigure]:
    profile = profile_of(job)
    yield RestingFigure(name=COLOUR_OF_WOOD, value=_lab(printed_wood_lab(job)),
                        source=wood_source(job))
    for ink in job.ink:
        yield RestingFigure(
            name=COLOUR_OF_INK, subjects=(ink.name,), source=colour_source(job, ink),
            value=f"{_lab(_shown_lab(job, ink))} "
                  f"{'on this wood' if _solid(profile, ink) else 'on white'}"
                  + _within(profile, ink))
    if job.finish.varnish != "none":
        yield _varnish(job, profile)
    read = len(measured_overprints(profile)) if profile else 0
    yield RestingFigure(
        name="solids on each other", value=f"{read} measured, the others predicted" if read
        else "predicted",
        source=Source(basis=Basis.PREDICTED, told=_layered(job)))
    yield _scatter(profile)
    yield from _curves(job, profile)
    if profile is not None and profile.proof_uncertainty_de00 is not None:
        yield RestingFigure(
            name="how sure a proof is", source=_measured(profile),
            value=f"nine in ten tints within ΔE00 {profile.proof_uncertainty_de00:.1f} by what "
                  "the readings leave uncertain")
    yield from _ink_taken(job, profile)


def _layered(job: Job) -> str:
    return _LAYERED if job_spectra(job) is None else _LAYERED_SPECTRA


def _varnish(job: Job, profile: PressProfile | None) -> RestingFigure:
    asked = job.finish.varnish
    return RestingFigure(
        name="what the varnish does to wood and inks", value=asked,
        source=_measured(profile) if profile and profile.varnish == asked else Source(
            basis=Basis.PREDICTED,
            told="Saunderson 1942; how matt, satin and gloss differ and how a bare face sends "
                 "light back inwards are own rules"))


def _scatter(profile: PressProfile | None) -> RestingFigure:
    fitted = profile is not None and profile.n_is_fitted
    sd = profile.n_uncertainty if profile is not None else None
    return RestingFigure(
        name="light scattered between dots (Yule-Nielsen n)",
        value=f"{profile.n if profile else DEFAULT_N:.2f}"
              + ("" if sd is None else f" ± {NINETY * sd:.2f}, nine times in ten"),
        source=_measured(profile) if profile is not None and fitted else Source(
            basis=Basis.OWN, told="assumed: full scatter, of a range of 1 to 2"))


def _curves(job: Job, profile: PressProfile | None) -> Iterator[RestingFigure]:
    told: dict[tuple[str, Source], list[str]] = {}
    for ink in job.photo_inks:
        if profile and (pressed := profile.of(ink.name)):
            most = 100 * NINETY * max(pressed.curve_uncertainty)
            key = (f"measured, ± {most:.1f} points at most, nine times in ten",
                   _measured(profile))
        elif isinstance(curve := ink.tone_curve or job.halftone.tone_curve, str):
            key = curve, _CURVES[curve]
        else:
            key = (f"{counted(len(curve), 'reading')} of {job.halftone.tone_curve_tells}",
                   given("the job's tone_curve"))
        told.setdefault(key, []).append(ink.name)
    for (value, source), inks in told.items():
        yield RestingFigure(name="tone curve", subjects=tuple(inks), value=value, source=source)


def _ink_taken(job: Job, profile: PressProfile | None) -> Iterator[RestingFigure]:
    weighed = [ink.name for ink in job.ink if profile and (one := profile.of(ink.name))
               and one.transfer is not None]
    others = [ink.name for ink in job.ink if ink.name not in weighed]
    if profile and weighed:
        yield RestingFigure(name="share of the mesh's ink that prints", subjects=tuple(weighed),
                            value="weighed", source=_measured(profile))
    if others:
        low, likely, high = (f"{100 * share:.0f}" for share in TRANSFER)
        yield RestingFigure(
            name="share of the mesh's ink that prints", subjects=tuple(others),
            value=f"{likely} % ({low} to {high} %)",
            source=Source(basis=Basis.MEMORY, told="trade figures for smooth stock"))
        yield RestingFigure(
            name="stencil's height over the mesh, which makes small dots thicker",
            value=", ".join(dict.fromkeys(_over_mesh(job, ink) for ink in job.ink
                                          if ink.name in others)),
            source=given("the job's mesh") if all(
                (ink.mesh or job.mesh).emulsion_over_mesh for ink in job.ink
                if ink.name in others) else Source(
                basis=Basis.PUBLISHED, told="10 to 15 % of the cloth, norcalsps.com; how far from "
                                            "a dot's rim it counts is an own rule"))
        yield RestingFigure(
            name=DRAWN_BY_WOOD, value=f"{100 * job.wood_absorption:.0f} %",
            source=given("the job's [wood] table") if job.wood.absorption is not None else
            Source(basis=Basis.INVENTED, told="a guess for an unfinished face"))


def _over_mesh(job: Job, ink: InkTable) -> str:
    height = (ink.mesh or job.mesh).emulsion_over_mesh
    if height is not None:
        return height.written
    low, _, high = (share * job.mesh_of(ink).thickness_um for share in OVER_MESH)
    return f"{low:.0f} to {high:.0f} µm"


def _measured(profile: PressProfile) -> Source:
    mode = f", {profile.measurement_condition}" if profile.measurement_condition else ""
    by = ", read from a scan" if profile.read_from == "scan" else ""
    return Source(basis=Basis.MEASURED,
                  told=f"press profile of {profile.date.isoformat()}{mode}{by}")


def _within(profile: PressProfile | None, ink: InkTable) -> str:
    pressed = profile.of(ink.name) if profile else None
    within = pressed.solid_uncertainty_de00 if pressed else None
    return "" if within is None else f", within ΔE00 {within:.1f} nine times in ten"


def _solid(profile: PressProfile | None, ink: InkTable) -> Lab | None:
    pressed = profile.of(ink.name) if profile else None
    return pressed.solid_lab if pressed else None


def _shown_lab(job: Job, ink: InkTable) -> Lab:
    return _solid(profile_of(job), ink) or ink_colour(job, ink).lab


def _lab(lab: Lab) -> str:
    return f"L* {lab[0]:.0f}, a* {lab[1]:.0f}, b* {lab[2]:.0f}".replace("-", "−")
