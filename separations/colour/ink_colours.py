"""Inks by their colour, and the print model of a set of them on a substrate."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preflight.basis import Basis, Source
from preflight.input_problem import InputProblem
from separations.colour.colorimetry import colour_difference, lab_to_xyz
from separations.colour.ink_figures import Lab, SolidFigure, ink_figures
from separations.colour.layering import (
    INK_ON_ABSORBENT,
    INK_ON_INK,
    InkFilm,
    layered_primaries,
)
from separations.colour.print_model import (
    CURVE_ENTRIES,
    MOST_INKS,
    PrintModel,
    plain_model,
)
from separations.colour.tone_curve import STRAIGHT_CURVE, ToneCurve

FloatArray = NDArray[np.float64]

_PROCESS = "process "
#: Substrates closer than this (dE00) to an ink's own white count as the same.
_SAME_SUBSTRATE = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class InkColour:
    """What is known of an ink's colour.

    Attributes
    ----------
    name : str
        The ink.
    lab : tuple of three float
        CIELAB D50 of the solid on its white reference.
    white_lab : tuple of three float
        CIELAB D50 of that white reference.
    lab_over_black : tuple of three float or None
        CIELAB D50 of the solid over black, where measured; it wins over ``opacity``.
    opacity : float
        Contrast ratio, over black / over white, 0 (hides nothing) to 1 (hides all).
    source : Source
        What the figures rest on.
    """

    name: str
    lab: Lab
    white_lab: Lab = (95.0, 0.0, -2.0)
    lab_over_black: Lab | None = None
    opacity: float = 0.0
    source: Source = field(default_factory=lambda: Source(basis=Basis.GIVEN))

    def film(self, thickness: float = 1.0) -> InkFilm:
        """The solid as a film, at a thickness over that of the measured solid."""
        white = lab_to_xyz(self.white_lab)
        solid = lab_to_xyz(self.lab)
        if self.lab_over_black is not None:
            over_black = lab_to_xyz(self.lab_over_black)
        else:
            over_black = self.opacity * solid
        return InkFilm(over_white_xyz=solid, white_xyz=white, over_black_xyz=over_black,
                       thickness=thickness)


def process_ink(name: str) -> InkColour:
    """The process ink of that name: cyan, magenta, yellow or black.

    Raises
    ------
    InputProblem
        When there is none.

    Notes
    -----
    Source: FOGRA39L characterisation data (offset on coated paper); no screen ink was measured.
    """
    return _named(name, ink_figures().process_solids, "process ink")


def spot_ink(name: str) -> InkColour:
    """The spot ink of that name in ink_figures.toml, all of them invented.

    Raises
    ------
    InputProblem
        When there is none.
    """
    return _named(name, ink_figures().spot_solids, "spot ink")


def known_inks() -> dict[str, InkColour]:
    """All inks that `named_ink` knows, by the name that a job gives."""
    figures = ink_figures()
    names = [*(_PROCESS + name for name in figures.process_solids), *figures.spot_solids]
    return {name: named_ink(name, "ink") for name in names}


def named_ink(name: str, where: str) -> InkColour:
    """The ink of a name in ink_figures.toml: a spot ink, or ``process`` and one of the four.

    Parameters
    ----------
    name : str
        Such as ``process cyan`` or ``night blue``.
    where : str
        The file and key that a fault names.

    Raises
    ------
    InputProblem
        When there is no such ink.
    """
    figures = ink_figures()
    if name.removeprefix(_PROCESS) in figures.process_solids and name.startswith(_PROCESS):
        return process_ink(name.removeprefix(_PROCESS))
    if name in figures.spot_solids:
        return spot_ink(name)
    known = [*(_PROCESS + n for n in figures.process_solids), *figures.spot_solids]
    near = difflib.get_close_matches(name, known, n=1)
    raise InputProblem(
        where=where, found=f"'{name}'",
        would_do=f"'{near[0]}'" if near else
        "one of " + ", ".join(f"'{n}'" for n in known) + ", or 'over_white' in its place,")


def _named(name: str, table: Mapping[str, SolidFigure], what: str) -> InkColour:
    if name not in table:
        raise InputProblem(where=what, found=repr(name), would_do=" or ".join(table))
    figure = table[name]
    return InkColour(name=name, lab=figure.lab, white_lab=figure.white_lab,
                     opacity=figure.opacity, source=figure.source)


def print_model(
    substrate_lab: ArrayLike,
    inks: Sequence[InkColour],
    *,
    tone_curves: Sequence[ToneCurve | None] | None = None,
    volume_scale: Sequence[float] | None = None,
    n: float = 2.0,
    absorbent: bool = False,
    measured_overprints: Mapping[frozenset[str], Lab] | None = None,
) -> PrintModel:
    """The print model of inks on a substrate, from their solids.

    Parameters
    ----------
    substrate_lab : array_like, shape (3,), float
        CIELAB D50 of the bare substrate.
    inks : sequence of InkColour
        1 to 8 inks, first printed first, names all different.
    tone_curves : sequence of ToneCurve or None, optional
        Film tone to printed tone of each ink; None for a straight line.
    volume_scale : sequence of float, optional
        Ink volume laid down by each ink's mesh over that of its measured solid, above 0.
    n : float
        Yule-Nielsen factor, at least 1.
    absorbent : bool
        Whether the substrate drinks, as uncoated paper and bare wood do.
    measured_overprints : mapping of frozenset of str to Lab, optional
        CIELAB of solids and overprints measured on this very substrate, by ink names; they
        stand as they are.

    Returns
    -------
    PrintModel
        Its ``measured`` flags say which primaries are more than an estimate.

    Raises
    ------
    InputProblem
        When there are no inks, more than eight, or two of one name.

    Notes
    -----
    Solids move from their own white to the substrate as two-flux films. Groups of process inks
    move as the measured overprint of the group; the rest is layered ink by ink.
    """
    names = tuple(ink.name for ink in inks)
    if not 1 <= len(names) <= MOST_INKS or len(set(names)) != len(names):
        raise InputProblem(where="inks", found=", ".join(names) or "no ink",
                           would_do=f"1 to {MOST_INKS} inks with different names")
    scale = [1.0] * len(inks) if volume_scale is None else [float(v) for v in volume_scale]
    substrate = np.asarray(substrate_lab, np.float64)
    groups = _process_groups(inks, scale)
    given = _given(substrate, inks, scale, measured_overprints or {})
    primaries = layered_primaries(
        lab_to_xyz(substrate),
        [ink.film(thick) for ink, thick in zip(inks, scale, strict=True)],
        measured_xyz={index: lab_to_xyz(lab) for index, lab in given.items()},
        joint_films=groups, ink_on_ink=INK_ON_ABSORBENT if absorbent else INK_ON_INK,
    )
    measured = np.zeros(len(primaries), np.bool_)
    measured[[0, *given]] = True
    curves = [curve or STRAIGHT_CURVE for curve in tone_curves or [None] * len(inks)]
    return plain_model(names, primaries, measured,
                       curves=np.stack([curve.table(CURVE_ENTRIES) for curve in curves]), n=n)


def _given(substrate: FloatArray, inks: Sequence[InkColour], scale: Sequence[float],
           overprints: Mapping[frozenset[str], Lab]) -> dict[int, Lab]:
    """Solids and overprints that need no estimate, by index."""
    there = {ink.name: place for place, ink in enumerate(inks)
             if scale[place] == 1.0
             and colour_difference(ink.white_lab, substrate) < _SAME_SUBSTRATE}
    given = {1 << place: inks[place].lab for place in there.values()}
    tabled = _tabled_process_inks(inks)
    for group, figure in ink_figures().process_overprints.items():
        if group <= there.keys() & tabled.keys():
            given[sum(1 << tabled[name] for name in group)] = figure.lab
    places = {ink.name: place for place, ink in enumerate(inks)}
    for group, lab in overprints.items():
        if group and group <= places.keys():
            given[sum(1 << places[name] for name in group)] = lab
    return given


def _tabled_process_inks(inks: Sequence[InkColour]) -> dict[str, int]:
    """Places of the inks that are process inks as tabled."""
    solids = ink_figures().process_solids
    return {ink.name: place for place, ink in enumerate(inks)
            if ink.name in solids and ink.lab == solids[ink.name].lab
            and ink.white_lab == solids[ink.name].white_lab}


def _process_groups(inks: Sequence[InkColour], scale: Sequence[float]) -> dict[int, InkFilm]:
    """Films of the process inks' measured overprints."""
    place = _tabled_process_inks(inks)
    films = {}
    for group, figure in ink_figures().process_overprints.items():
        if group <= place.keys():
            mean = float(np.mean([scale[place[name]] for name in group]))
            colour = InkColour(name=" ".join(sorted(group)), lab=figure.lab,
                               white_lab=figure.white_lab)
            films[sum(1 << place[name] for name in group)] = colour.film(mean)
    return films
