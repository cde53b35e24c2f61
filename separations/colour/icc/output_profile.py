"""The ICC output profile of a job's inks on its wood."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from separations.colour.colorimetry import colour_difference, lab_to_xyz
from separations.colour.icc import icc_encoding as icc
from separations.colour.icc.colour_table import (
    Separating,
    colorimetric_tones,
    colour_nodes,
    out_of_gamut,
    photo_nodes,
    rendered_tones,
    seeds_of,
    tone_table,
    tones_through,
)
from separations.colour.icc.device_table import Medium, colours_through, device_tables
from separations.colour.inversion import Seeds, TonePreferences
from separations.colour.job_inks import profile_of, separation_model, whole_model
from separations.colour.print_model import PrintModel, with_weaker_first_ink

FloatArray = NDArray[np.float64]

#: Process inks in the order of a CMYK profile's channels, as ink colours are named.
_PROCESS_ORDER = ("process cyan", "process magenta", "process yellow", "process black")
_COPYRIGHT = "No copyright is claimed; use freely."
#: Renderings of photographs behind the perceptual and the saturation intent.
_PERCEPTUAL, _SATURATION = "balanced", "keep-colour"
_TRIED, _SEED = 4000, 20
#: Nodes along each axis of the tables from colour to inks (multiples of 4 and one): the first, and
#: those of the colorimetric one where it is too coarse.
_GRIDS = (33, 49)
#: Where printable colours come back further off than this in the mean (dE00), the table from colour
#: to inks is too coarse, mostly in the dark, where a step of L* takes much ink. Own rule.
_COARSE_DE00 = 0.6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OutputProfile:
    """A profile, and how well it holds what the print model says.

    Attributes
    ----------
    content : bytes
        The file.
    space : str
        Its device colour space.
    channels : tuple of str
        The inks, in the order of its channels.
    description : str
        As the file tells itself.
    to_colour_de00 : tuple of two float
        Mean and largest ΔE00 between colours through its table and the model's, over film tones.
    there_and_back_de00 : tuple of two float
        The same from a printable colour to film tones and back.
    """

    content: bytes
    space: str
    channels: tuple[str, ...]
    description: str
    to_colour_de00: tuple[float, float]
    there_and_back_de00: tuple[float, float]

    @property
    def says(self) -> tuple[str, ...]:
        """How well its tables hold the model, a sentence each."""
        there, back = self.to_colour_de00, self.there_and_back_de00
        return (f"Film tones to colours: ΔE00 {there[0]:.2f} on average from the print model, "
                f"{there[1]:.2f} at most.",
                f"Printable colours to film tones and back: ΔE00 {back[0]:.2f} on average, "
                f"{back[1]:.2f} at most, relative to the lightest printable colour.")


def why_no_profile(job: Job) -> InputProblem | None:
    """What keeps a job's inks from having a profile, if anything."""
    where = f"{job.path}: ink"
    if len(job.ink) < 2:
        return InputProblem(where=where, found="one ink",
                            would_do="two inks or more: profiles have no colour space for one,")
    if not any(ink.prints == "photo" for ink in job.ink):
        return InputProblem(where=where, found="no ink that prints photos",
                            would_do="one or more for a profile to turn colours into,")
    if job.highlight_white is not None:
        return InputProblem(where=where, found="a highlight white",
                            would_do="a job without it, since a profile has no place for what is "
                                     "laid over the other inks by lightness alone,")
    return None


def output_profile(job: Job) -> OutputProfile:
    """Make the profile of all a job's inks on its wood.

    Raises
    ------
    InputProblem
        When the job has one ink only, more than the model takes, none for photographs, or a
        highlight white.

    Notes
    -----
    Colours are relative to the lightest that can be printed: bare wood, or a white ink. Line
    work's inks have channels that no colour is turned into. Both kinds of colour table hold what
    the job itself would print of a photograph of that colour.
    Source: ICC.1:2010 (ISO 15076-1), 8.5.2 for the tags of an output profile.
    """
    problem = why_no_profile(job)
    if problem is not None:
        raise problem
    whole = whole_model(job)
    channels = _channel_order(job)
    separating, of_ink = _separating(job)
    seeds = seeds_of(separating)
    medium = _medium(whole, seeds)
    lively = photo_nodes(_GRIDS[0])
    inks = [of_ink.get(place) for place in channels]
    relative, perceptual = device_tables(whole, medium, channels)
    for count in _GRIDS:
        nodes = colour_nodes(medium.relative_lab(seeds.lab), count)
        nearest = colorimetric_tones(separating, nodes, medium, seeds)
        to_nearest = tone_table(separating, nodes, nearest, inks)
        missed = _missed_colours(relative, to_nearest, medium, seeds)
        if missed[0] <= _COARSE_DE00:
            break
    perceived, vivid = (
        tone_table(separating, lively, rendered_tones(separating, lively, seeds, rendering), inks)
        for rendering in (_PERCEPTUAL, _SATURATION))
    description = _description(job)
    names = tuple(job.ink[place].name for place in channels)
    space = icc.device_space(len(channels), is_process=is_process(job))
    tags = [("desc", icc.text_tag(description)), ("cprt", icc.text_tag(_COPYRIGHT)),
            ("wtpt", icc.xyz_tag(medium.white_xyz)),
            *zip(("A2B0", "A2B1", "A2B2"),
                 map(icc.to_colour_tag, (perceptual, relative, perceptual)), strict=True),
            *zip(("B2A0", "B2A1", "B2A2"),
                 map(icc.to_device_tag, (perceived, to_nearest, vivid)), strict=True),
            ("gamt", icc.to_device_tag(out_of_gamut(separating, nodes, medium, nearest))),
            ("clro", icc.colorant_order_tag([channels.index(place)
                                             for place in range(len(channels))]))]
    if space != "CMYK":
        solids = whole.primaries_lab[[1 << place for place in channels]]
        tags.append(("clrt", icc.colorant_tag(names, medium.relative_lab(solids))))
    content = icc.profile_bytes(space=space, created=job.date, tags=tags)
    return OutputProfile(
        content=content, space=space, channels=names, description=description,
        to_colour_de00=_missed_tones(whole, relative, medium, channels),
        there_and_back_de00=missed)


def is_process(job: Job) -> bool:
    """Whether a job's inks are the four process inks."""
    return sorted(ink.colour or "" for ink in job.ink) == sorted(_PROCESS_ORDER)


def _channel_order(job: Job) -> tuple[int, ...]:
    """Which of the job's inks each channel is: cyan first of the process inks, else as printed."""
    if not is_process(job):
        return tuple(range(len(job.ink)))
    colours = [ink.colour for ink in job.ink]
    return tuple(colours.index(name) for name in _PROCESS_ORDER)


def _separating(job: Job) -> tuple[Separating, dict[int, int]]:
    """How colours become inks, and which of its inks each of the job's is."""
    wanted, model = job.separation, separation_model(job)
    places = [place for place, ink in enumerate(job.ink) if ink.prints in ("underbase", "photo")]
    strongest = np.ones(len(places))
    if job.underbase is not None:
        strongest[0] = wanted.underbase_strength.fraction
        model = with_weaker_first_ink(model, float(strongest[0]))
    names = [job.ink[place].name for place in places]
    preferences = TonePreferences(
        tone_sum_limit=min(wanted.tone_sum_limit.fraction, float(len(places))),
        black_ink=names.index(wanted.black_ink) if wanted.black_ink else None,
        black_generation=wanted.black_generation)
    return (Separating(model=model, strongest=strongest, preferences=preferences,
                       adaptation=wanted.adaptation),
            {place: ink for ink, place in enumerate(places)})


def _medium(whole: PrintModel, seeds: Seeds) -> Medium:
    """The lightest colour of all solids, and the darkest that colours are turned into."""
    solids = whole.primaries_lab
    return Medium(white_xyz=lab_to_xyz(solids[int(np.argmax(solids[:, 0]))]),
                  black_xyz=lab_to_xyz(seeds.lab[int(np.argmin(seeds.lab[:, 0]))]))


def _description(job: Job) -> str:
    """What the profile is of, and what of it was read and what a model predicts."""
    varnish = job.finish.varnish
    inks = ", ".join(ink.name for ink in job.ink) + " on wood" + (
        "" if varnish == "none" else f" under {varnish} varnish")
    profile = profile_of(job)
    if profile is None:
        return f"{job.title}: {inks}. Predicted by a model, nothing measured."
    pressed = [profile.of(ink.name) for ink in job.ink]
    solids = sum(ink is not None and ink.solid_lab is not None for ink in pressed)
    names = {ink.name for ink in job.ink}
    overprints = sum(names.issuperset(over.inks) for over in profile.overprint)
    curves = sum(ink is not None for ink in pressed)
    mode = f" ({profile.measurement_condition})" if profile.measurement_condition else ""
    return (f"{job.title}: {inks}. Measured {profile.date}{mode}: wood "
            f"{'yes' if profile.wood_lab else 'no'}, solids {solids} of {len(pressed)}, "
            f"overprints {overprints} of {(1 << len(pressed)) - len(pressed) - 1}, tone curves "
            f"{curves} of {len(pressed)}. Predicted by a model: the rest.")


def _missed_tones(whole: PrintModel, relative: icc.Pipeline, medium: Medium,
                  channels: tuple[int, ...]) -> tuple[float, float]:
    tones = np.random.default_rng(_SEED).random((_TRIED, len(channels)))
    found = medium.measured_lab(colours_through(relative, tones[:, list(channels)]))
    away = colour_difference(found, whole.predict_lab(tones))
    return float(away.mean()), float(away.max())


def _missed_colours(relative: icc.Pipeline, to_tones: icc.Pipeline, medium: Medium,
                    seeds: Seeds) -> tuple[float, float]:
    lab = medium.relative_lab(seeds.lab)
    back = colours_through(relative, tones_through(to_tones, lab))
    away = colour_difference(back, lab)
    return float(away.mean()), float(away.max())
