"""What a press was measured to do, as a file that jobs refer to: curves, solids, transfer."""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path

from preflight.input_problem import InputProblem
from preflight.job_file.typed_toml import table_in
from separations.colour.print_model import CURVE_ENTRIES, PrintModel
from separations.colour.profile_tables import Pairs, TableFault, Tables, percent
from separations.colour.tone_curve import ToneCurve, tone_curve
from separations.ink_need.ink_estimate import Range

Lab = tuple[float, float, float]

_CHANNEL_KEYS = ("red_curve", "green_curve", "blue_curve")
#: Keys of what an ink was printed with, with the range of each.
_PRINTED_WITH = {"threads_per_cm": (1.0, 1000.0), "thread_um": (1.0, 2000.0),
                 "ruling_lpcm": (1.0, 500.0)}

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
    solid_density : float or None
        Density of the solid above the wood, where densities were read.
    transfer : Range or None
        Share of the theoretical ink volume that the printed area takes, wood's thirst
        included, where ink was weighed.
    threads_per_cm, thread_um, ruling_lpcm : float or None
        The cloth's count and thread (µm), and the halftone's lines per cm, that it was printed
        with; None in profiles that do not tell.
    """

    name: str
    tone_curve: tuple[tuple[float, float], ...]
    curve_uncertainty: tuple[float, ...]
    channel_curves: tuple[Pairs, Pairs, Pairs] | None = None
    solid_lab: Lab | None = None
    solid_density: float | None = None
    transfer: Range | None = None
    threads_per_cm: float | None = None
    thread_um: float | None = None
    ruling_lpcm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PressOverprint:
    """The colour of solids on top of each other: two inks or more, and their CIELAB D50."""

    inks: tuple[str, ...]
    lab: Lab


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
    wood_lab : tuple of three float or None
        CIELAB D50 of the bare wood, where colours were read.
    ink : tuple of PressInk
        In print order.
    overprint : tuple of PressOverprint
        Those that were read.
    notes : tuple of str
        What the press ran with, one line each.
    """

    title: str
    date: datetime.date
    n: float
    n_is_fitted: bool
    ink: tuple[PressInk, ...]
    overprint: tuple[PressOverprint, ...] = ()
    wood_lab: Lab | None = None
    notes: tuple[str, ...] = ()

    def of(self, name: str) -> PressInk | None:
        """The ink of that name, if the profile has it."""
        return next((ink for ink in self.ink if ink.name == name), None)


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


def read_press_profile(path: Path) -> PressProfile:
    """Read a press profile.

    Raises
    ------
    InputProblem
        When the file cannot be read, or a key is missing, misspelt, of the wrong kind, out of
        range, or at odds with another.
    """
    # decimals as written, so that per cent become shares without a rounding
    table = table_in(path, what="a press profile", first_line='title = "Estuary"',
                     parse_float=Decimal)
    try:
        return _profile(Tables(table))
    except TableFault as fault:
        raise InputProblem(where=f"{path}: {fault.key}" if fault.key else str(path),
                           found=fault.found, would_do=fault.would_do) from None


def press_profile_toml(profile: PressProfile) -> str:
    """The profile as TOML text; reading it gives the same profile to the last digit."""
    lines = [f"# Press profile: what the press made of {_comment(profile.title)}.",
             "# Tones in percent: film, printed area. Colours CIELAB D50, 2 degrees.", "",
             f"title = {_text(profile.title)}", f"date = {profile.date.isoformat()}",
             f"yule_nielsen_n = {profile.n!r}",
             f"n_is_fitted = {'true' if profile.n_is_fitted else 'false'}"]
    if profile.wood_lab:
        lines.append(f"wood_lab = {_list(profile.wood_lab)}")
    lines += ["notes = [", *(f"    {_text(note)}," for note in profile.notes), "]"]
    for ink in profile.ink:
        pairs = ", ".join(f"[{percent(film)}, {percent(area)}]" for film, area in ink.tone_curve)
        lines += ["", "[[ink]]", f"name = {_text(ink.name)}", f"tone_curve = [{pairs}]",
                  f"curve_uncertainty = [{', '.join(map(percent, ink.curve_uncertainty))}]"]
        for key, curve in zip(_CHANNEL_KEYS, ink.channel_curves or (), strict=False):
            told = ", ".join(f"[{percent(film)}, {percent(area)}]" for film, area in curve)
            lines.append(f"{key} = [{told}]")
        if ink.solid_lab:
            lines.append(f"solid_lab = {_list(ink.solid_lab)}")
        if ink.solid_density is not None:
            lines.append(f"solid_density = {ink.solid_density!r}")
        if ink.transfer:
            lines.append(f"transfer = {{ low = {ink.transfer.low!r}, likely = "
                         f"{ink.transfer.likely!r}, high = {ink.transfer.high!r} }}")
        lines += [f"{key} = {getattr(ink, key)!r}" for key in _PRINTED_WITH
                  if getattr(ink, key) is not None]
    for over in profile.overprint:
        lines += ["", "[[overprint]]", f"inks = [{', '.join(map(_text, over.inks))}]",
                  f"lab = {_list(over.lab)}"]
    return "\n".join(lines) + "\n"


def _profile(tables: Tables) -> PressProfile:
    inks = tuple(_ink(table) for table in tables.tables("ink"))
    names = [ink.name for ink in inks]
    for twice in {name for name in names if names.count(name) > 1}:
        raise TableFault("ink", f"'{twice}' named twice", "another name for each ink")
    overprints = tuple(_overprint(table, names) for table in tables.tables("overprint", least=0))
    profile = PressProfile(
        title=tables.text("title"), date=tables.date("date"),
        n=tables.number("yule_nielsen_n", 1.0, 10.0), n_is_fitted=tables.yes_or_no("n_is_fitted"),
        wood_lab=tables.lab("wood_lab"), ink=inks, overprint=overprints,
        notes=tables.texts("notes"))
    tables.close()
    return profile


def _ink(table: Tables) -> PressInk:
    curve = table.curve("tone_curve")
    spread = table.shares("curve_uncertainty")
    if len(spread) != len(curve):
        raise TableFault(table.key("curve_uncertainty"), f"{len(spread)} figures",
                         f"{len(curve)}, one for each pair of the tone curve,")
    within = table.table("transfer")
    transfer = None
    if within is not None:
        transfer = Range(**{key: within.number(key, 0.0, 10.0)
                            for key in ("low", "likely", "high")})
        if not transfer.low <= transfer.likely <= transfer.high:
            raise TableFault(table.key("transfer"), "figures that do not rise",
                             "low, likely and high in rising order")
        within.close()
    density = None if not table.has("solid_density") else table.number("solid_density", 0.0, 6.0)
    threads, thread, ruling = (
        table.number(key, *_PRINTED_WITH[key]) if table.has(key) else None
        for key in _PRINTED_WITH)
    channels = None
    if any(table.has(key) for key in _CHANNEL_KEYS):
        red, green, blue = (table.curve(key) for key in _CHANNEL_KEYS)
        channels = red, green, blue
    ink = PressInk(name=table.text("name"), tone_curve=curve, curve_uncertainty=spread,
                   channel_curves=channels,
                   solid_lab=table.lab("solid_lab"), solid_density=density, transfer=transfer,
                   threads_per_cm=threads, thread_um=thread, ruling_lpcm=ruling)
    table.close()
    return ink


def _overprint(table: Tables, names: list[str]) -> PressOverprint:
    inks = table.texts("inks")
    if len(set(inks)) != len(inks) or len(inks) < 2 or not set(inks) <= set(names):
        raise TableFault(table.key("inks"), ", ".join(inks) or "no ink",
                         "two or more of " + ", ".join(names))
    lab = table.lab("lab")
    if lab is None:
        raise TableFault(table.key("lab"), "nothing", "a CIELAB colour such as [24, 22, -46]")
    table.close()
    return PressOverprint(inks=inks, lab=lab)


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _comment(text: str) -> str:
    return "".join(c for c in text if c.isprintable())


def _list(figures: Iterable[float]) -> str:
    return "[" + ", ".join(repr(float(figure)) for figure in figures) + "]"
