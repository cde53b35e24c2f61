"""A press profile as a TOML file: read with each fault's key, and written."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from pathlib import Path
from typing import get_args

from preflight.input_problem import InputProblem
from preflight.job_file.board_tables import Varnish
from preflight.job_file.typed_toml import table_in
from preflight.nouns import counted
from separations.colour.press_profile import (
    MeasurementMode,
    PressExposure,
    PressInk,
    PressOverprint,
    PressProfile,
    ReadFrom,
)
from separations.colour.profile_tables import Pairs, TableFault, Tables, percent, toml_text
from separations.colour.seen_print_table import seen_print, seen_print_lines
from separations.ink_need.ink_estimate import Range

_CHANNEL_KEYS = ("red_curve", "green_curve", "blue_curve")
#: Keys of what an ink was printed with, with the range of each.
_PRINTED_WITH = {"threads_per_cm": (1.0, 1000.0), "thread_um": (1.0, 2000.0),
                 "ruling_lpcm": (1.0, 500.0)}
#: Keys of an exposure, with the range of each, and those that may be missing.
_EXPOSURE = {"threads_per_cm": (1.0, 1000.0), "thread_um": (1.0, 2000.0),
             "low_s": (0.1, 100_000.0), "best_s": (0.1, 100_000.0), "high_s": (0.1, 100_000.0)}
_EXPOSURE_NOTED = {"lamp_hours": (0.0, 1_000_000.0), "smallest_dot": (0.0, 1.0)}


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
             "# Tones in percent: film, printed area. Colours CIELAB D50, 2 degrees.",
             "# Uncertainties: standard deviations; in ΔE00, what nine in ten lie within.", "",
             f"title = {toml_text(profile.title)}", f"date = {profile.date.isoformat()}",
             f"yule_nielsen_n = {profile.n!r}",
             f"n_is_fitted = {'true' if profile.n_is_fitted else 'false'}",
             *_figures(profile, "n_uncertainty", "proof_uncertainty_de00")]
    if profile.measurement_condition:
        lines.append(f'measurement_condition = "{profile.measurement_condition}"')
    if profile.wood_lab:
        lines.append(f"wood_lab = {_list(profile.wood_lab)}")
    if profile.varnish != "none":
        lines.append(f"varnish = {toml_text(profile.varnish)}")
    if profile.read_from != "instrument":
        lines.append(f"read_from = {toml_text(profile.read_from)}")
    lines += ["notes = [", *(f"    {toml_text(note)}," for note in profile.notes), "]"]
    for ink in profile.ink:
        lines += ["", "[[ink]]", *_ink_lines(ink)]
    for exposure in profile.exposure:
        lines += ["", "[[exposure]]", *_figures(exposure, *_EXPOSURE),
                  f"date = {exposure.date.isoformat()}",
                  *_figures(exposure, *_EXPOSURE_NOTED)]
    for over in profile.overprint:
        lines += ["", "[[overprint]]", f"inks = [{', '.join(map(toml_text, over.inks))}]",
                  f"lab = {_list(over.lab)}", *_figures(over, "uncertainty_de00")]
    return "\n".join(lines) + "\n"


def _ink_lines(ink: PressInk) -> list[str]:
    lines = [f"name = {toml_text(ink.name)}", f"tone_curve = [{_pairs(ink.tone_curve)}]",
             f"curve_uncertainty = [{', '.join(map(percent, ink.curve_uncertainty))}]"]
    lines += [f"{key} = [{_pairs(curve)}]" for key, curve in
              zip(_CHANNEL_KEYS, ink.channel_curves or (), strict=False)]
    if ink.solid_lab:
        lines.append(f"solid_lab = {_list(ink.solid_lab)}")
    lines += _figures(ink, "solid_uncertainty_de00", "solid_density")
    if ink.transfer:
        lines.append(f"transfer = {{ low = {ink.transfer.low!r}, likely = "
                     f"{ink.transfer.likely!r}, high = {ink.transfer.high!r} }}")
    return [*lines, *_figures(ink, *_PRINTED_WITH), *seen_print_lines(ink.seen)]


def _figures(told: PressProfile | PressInk | PressOverprint | PressExposure,
             *keys: str) -> list[str]:
    """A line for each of these figures that is known."""
    return [f"{key} = {getattr(told, key)!r}" for key in keys if getattr(told, key) is not None]


def _pairs(curve: Pairs) -> str:
    return ", ".join(f"[{percent(film)}, {percent(area)}]" for film, area in curve)


def _profile(tables: Tables) -> PressProfile:
    exposures = tuple(_exposure(table) for table in tables.tables("exposure", least=0))
    inks = tuple(_ink(table) for table in tables.tables("ink", least=0 if exposures else 1))
    names = [ink.name for ink in inks]
    for twice in {name for name in names if names.count(name) > 1}:
        raise TableFault("ink", f"'{twice}' named twice", "another name for each ink")
    overprints = tuple(_overprint(table, names) for table in tables.tables("overprint", least=0))
    profile = PressProfile(
        title=tables.text("title"), date=tables.date("date"),
        n=tables.number("yule_nielsen_n", 1.0, 10.0), n_is_fitted=tables.yes_or_no("n_is_fitted"),
        n_uncertainty=_uncertainty(tables, "n_uncertainty"),
        proof_uncertainty_de00=_uncertainty(tables, "proof_uncertainty_de00"),
        wood_lab=tables.lab("wood_lab"), ink=inks, overprint=overprints,
        notes=tables.texts("notes"), measurement_condition=_condition(tables),
        varnish=tables.choice("varnish", get_args(Varnish), "none"), exposure=exposures,
        read_from=tables.choice("read_from", get_args(ReadFrom), "instrument"))
    tables.close()
    return profile


def _condition(tables: Tables) -> MeasurementMode | None:
    if not tables.has("measurement_condition"):
        return None
    told = tables.text("measurement_condition")
    modes: tuple[MeasurementMode, ...] = get_args(MeasurementMode)
    for mode in modes:
        if told == mode:
            return mode
    raise TableFault("measurement_condition", f"'{told}'", "M0, M1, M2 or M3")


def _ink(table: Tables) -> PressInk:
    curve = table.curve("tone_curve")
    spread = table.shares("curve_uncertainty")
    if len(spread) != len(curve):
        raise TableFault(table.key("curve_uncertainty"), counted(len(spread), "figure"),
                         f"{counted(len(curve), 'figure')}, one for each pair of the tone curve,")
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
                   solid_lab=table.lab("solid_lab"), solid_density=density,
                   solid_uncertainty_de00=_uncertainty(table, "solid_uncertainty_de00"),
                   transfer=transfer,
                   threads_per_cm=threads, thread_um=thread, ruling_lpcm=ruling,
                   seen=seen_print(table.table("seen")))
    table.close()
    return ink


def _exposure(table: Tables) -> PressExposure:
    low, best, high = (table.number(key, *_EXPOSURE[key]) for key in ("low_s", "best_s", "high_s"))
    if not low <= best <= high:
        raise TableFault(table.key("best_s"), "figures that do not rise",
                         "low_s, best_s and high_s in rising order")
    threads, thread = (table.number(key, *_EXPOSURE[key]) for key in ("threads_per_cm",
                                                                     "thread_um"))
    hours, dot = (table.number(key, *limits) if table.has(key) else None
                  for key, limits in _EXPOSURE_NOTED.items())
    exposure = PressExposure(threads_per_cm=threads, thread_um=thread, low_s=low, best_s=best,
                             high_s=high, date=table.date("date"), lamp_hours=hours,
                             smallest_dot=dot)
    table.close()
    return exposure


def _overprint(table: Tables, names: list[str]) -> PressOverprint:
    inks = table.texts("inks")
    if len(set(inks)) != len(inks) or len(inks) < 2 or not set(inks) <= set(names):
        raise TableFault(table.key("inks"), ", ".join(inks) or "no ink",
                         "two or more of " + ", ".join(names))
    lab = table.lab("lab")
    if lab is None:
        raise TableFault(table.key("lab"), "nothing", "a CIELAB colour such as [24, 22, -46]")
    spread = _uncertainty(table, "uncertainty_de00")
    table.close()
    return PressOverprint(inks=inks, lab=lab, uncertainty_de00=spread)


def _uncertainty(table: Tables, key: str) -> float | None:
    return table.number(key, 0.0, 100.0) if table.has(key) else None


def _comment(text: str) -> str:
    return "".join(c for c in text if c.isprintable())


def _list(figures: Iterable[float]) -> str:
    return "[" + ", ".join(repr(float(figure)) for figure in figures) + "]"
