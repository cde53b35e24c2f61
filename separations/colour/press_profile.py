"""What a press was measured to do, as a file that jobs refer to: curves, solids, transfer."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from preflight.job_file.board_tables import Varnish
from preflight.press.mesh import Mesh
from preflight.press.seen_print import UNSEEN, SeenPrint
from separations.colour.print_model import CURVE_ENTRIES, PrintModel
from separations.colour.profile_tables import Pairs
from separations.colour.tone_curve import ToneCurve, tone_curve
from separations.ink_need.ink_estimate import Range

Lab = tuple[float, float, float]
#: Measurement conditions of ISO 13655: lamp as it is, daylight with its ultraviolet, ultraviolet
#: cut, polarised.
MeasurementMode = Literal["M0", "M1", "M2", "M3"]
#: A meter on the print, or a picture of it from a scanner or camera.
ReadFrom = Literal["instrument", "scan"]
#: Two-sided 90 % of a normal distribution, in deviations.
NINETY = 1.645
#: Cloths whose figures differ by less are the same: profiles hold them to three places.
_SAME = 0.002


@dataclass(frozen=True, slots=True, kw_only=True)
class PressInk:
    """One ink as it printed.

    Attributes
    ----------
    name : str
        The ink's name in the job.
    tone_curve : tuple of pairs of float
        Film tone and area under ink (0 to 1), rising from (0, 0) to (1, 1).
    curve_uncertainty : tuple of float
        Standard deviation of each printed tone (0 to 1).
    channel_curves : three tuples of pairs of float, or None
        The same for red, green and blue light (wide-gamut RGB) each by itself, where that
        predicted the readings better than one curve for all.
    solid_lab : tuple of three float or None
        CIELAB D50 of the solid on the job's wood, where colours were read.
    solid_uncertainty_de00 : float or None
        ΔE00 within which it lies nine times in ten.
    solid_density : float or None
        Density of the solid above the wood, where densities were read.
    transfer : Range or None
        Share of the theoretical ink volume that the printed area takes, wood's thirst
        included, where ink was weighed.
    threads_per_cm, thread_um, ruling_lpcm : float or None
        The cloth's count and thread (µm), and the halftone's lines per cm, that it was printed
        with; None in profiles that do not tell.
    seen : SeenPrint
        Its register, and the dots that it held, where pictures of the test sheet told.
    """

    name: str
    tone_curve: tuple[tuple[float, float], ...]
    curve_uncertainty: tuple[float, ...]
    channel_curves: tuple[Pairs, Pairs, Pairs] | None = None
    solid_lab: Lab | None = None
    solid_uncertainty_de00: float | None = None
    solid_density: float | None = None
    transfer: Range | None = None
    threads_per_cm: float | None = None
    thread_um: float | None = None
    ruling_lpcm: float | None = None
    seen: SeenPrint = UNSEEN


@dataclass(frozen=True, slots=True, kw_only=True)
class PressOverprint:
    """The colour of solids on top of each other: two inks or more, and their CIELAB D50.

    It lies within ``uncertainty_de00`` (ΔE00) nine times in ten, where that is known.
    """

    inks: tuple[str, ...]
    lab: Lab
    uncertainty_de00: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PressExposure:
    """How long stencils on one cloth are exposed, as read on this lamp.

    Attributes
    ----------
    threads_per_cm, thread_um : float
        The cloth's count and thread (µm).
    low_s, best_s, high_s : float
        The time (s), and the least and most that the readings may mean.
    date : datetime.date
        When it was read.
    lamp_hours : float or None
        What the lamp had burnt by then (h), where that was noted.
    smallest_dot : float or None
        The smallest film tone (0 to 1) whose dots were open at that time, where anyone looked.
    """

    threads_per_cm: float
    thread_um: float
    low_s: float
    best_s: float
    high_s: float
    date: datetime.date
    lamp_hours: float | None = None
    smallest_dot: float | None = None

    def is_for(self, mesh: Mesh) -> bool:
        """Whether it was read on that cloth."""
        return (abs(self.threads_per_cm - mesh.threads_per_cm) < _SAME
                and abs(self.thread_um - mesh.thread_um) < _SAME)


@dataclass(frozen=True, slots=True, kw_only=True)
class PressProfile:
    """A press, its mesh, inks and wood on one day.

    Attributes
    ----------
    title : str
        The job whose test sheet was measured.
    date : datetime.date
        That job's date.
    n : float
        Yule-Nielsen factor that the curves go with, at least 1.
    n_is_fitted : bool
        Whether the readings told n; else it is the value for full scatter.
    n_uncertainty : float or None
        Standard deviation of n, where the readings told it.
    proof_uncertainty_de00 : float or None
        ΔE00 within which nine in ten tints of a proof lie by what the readings leave open.
    wood_lab : tuple of three float or None
        CIELAB D50 of the bare wood, where colours were read.
    ink : tuple of PressInk
        In print order.
    overprint : tuple of PressOverprint
        Those that were read.
    notes : tuple of str
        What the press ran with, one line each.
    measurement_condition : MeasurementMode or None
        Under which light of ISO 13655 it was read, where the readings told.
    varnish : Varnish
        The coat that the patches were read through.
    exposure : tuple of PressExposure
        How long stencils are exposed, a cloth each.
    read_from : ReadFrom
        What the patches were read by.
    """

    title: str
    date: datetime.date
    n: float
    n_is_fitted: bool
    ink: tuple[PressInk, ...]
    overprint: tuple[PressOverprint, ...] = ()
    n_uncertainty: float | None = None
    proof_uncertainty_de00: float | None = None
    wood_lab: Lab | None = None
    notes: tuple[str, ...] = ()
    measurement_condition: MeasurementMode | None = None
    varnish: Varnish = "none"
    exposure: tuple[PressExposure, ...] = ()
    read_from: ReadFrom = "instrument"

    @property
    def tells_colours(self) -> bool:
        """Whether it holds the wood's colour, a solid's or an overprint's."""
        return bool(self.wood_lab or self.overprint or any(ink.solid_lab for ink in self.ink))

    def of(self, name: str) -> PressInk | None:
        """The ink of that name, if the profile has it."""
        return next((ink for ink in self.ink if ink.name == name), None)


def with_seen_prints(profile: PressProfile, seen: Mapping[str, SeenPrint]) -> PressProfile:
    """A profile with what was seen of its inks, by their names."""
    return replace(profile, ink=tuple(replace(ink, seen=seen.get(ink.name, ink.seen))
                                      for ink in profile.ink))


def profile_curves(profile: PressProfile) -> dict[str, ToneCurve]:
    """The tone curve of each ink, by the ink's name."""
    curves = {}
    for ink in profile.ink:
        film, printed = zip(*ink.tone_curve, strict=True)
        curves[ink.name] = tone_curve(film, printed, name=f"measured on {profile.date}",
                                      where=f"press profile: {ink.name}")
    return curves


def measured_overprints(
    profile: PressProfile, called: Mapping[str, str] | None = None
) -> dict[frozenset[str], Lab]:
    """Solids and overprints as `separations.colour.ink_colours.print_model` takes them.

    Parameters
    ----------
    profile : PressProfile
        The profile.
    called : mapping of str to str, optional
        What the model calls each of the job's inks, where it differs from the ink's name.
        Overprints with an ink that it lacks are left out; without it, none are.

    Notes
    -----
    They hold on the profile's own wood only.
    """
    found = {frozenset((ink.name,)): ink.solid_lab for ink in profile.ink if ink.solid_lab}
    found.update({frozenset(over.inks): over.lab for over in profile.overprint})
    if called is None:
        return found
    return {frozenset(called[name] for name in group): lab for group, lab in found.items()
            if group <= called.keys()}


def with_channel_curves(model: PrintModel, inks: Sequence[str],
                        profile: PressProfile) -> PrintModel:
    """A model with the curves that a profile has for each channel; ``inks`` are its inks' names.

    Inks of which the profile has one curve for all channels, or none, keep theirs.
    """
    curves = model.curves.copy()
    for place, name in enumerate(inks):
        pressed = profile.of(name)
        for channel, pairs in enumerate((pressed and pressed.channel_curves) or ()):
            film, printed = zip(*pairs, strict=True)
            curves[place, channel] = tone_curve(film, printed).table(CURVE_ENTRIES)
    return replace(model, curves=curves)


def measured_deposit_um(transfer: Range, ink_volume_um: float) -> Range:
    """What a solid takes (µm, which is cm³/m²), from a weighed transfer factor.

    In place of `separations.ink_need.ink_estimate.deposit_um`; the wood's thirst is in the factor.
    """
    return transfer.times(ink_volume_um)
