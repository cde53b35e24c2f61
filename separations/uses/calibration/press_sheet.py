"""What of a test sheet's readings does not depend on n: wedges, wood, solids and overprints."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from separations.colour.colorimetry import (
    colour_difference,
    lab_to_xyz,
    xyz_to_lab,
    xyz_to_wide_rgb,
)
from separations.colour.layering import InkFilm, layered_primaries
from separations.uses.calibration.patches import Patch
from separations.uses.calibration.readings import Readings

FloatArray = NDArray[np.float64]

#: A wedge with fewer readings than this makes no curve.
_LEAST_READINGS = 5
#: Fewest tints of several inks, read as colours, that tell n where wedges are densities.
_LEAST_TINTS = 3
#: Least density of a solid above the wood, and least fall of a colour channel (0 to 1).
_LEAST_SOLID_D = 0.05
_LEAST_FALL = 0.01
_LEAST_LIGHT = 1e-5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkReadings:
    """One ink's wedge as read.

    Attributes
    ----------
    places : ndarray, shape (N,), int64
        Which patches of the sheet its curve is fitted to.
    tones : ndarray, shape (N,), float64
        Their film tones, 0 to 1.
    read_as : {"density", "colour"}
        What was read.
    solid_lab : ndarray, shape (3,), float64, or None
        CIELAB of the solid.
    solid_density : float or None
        Density of the solid above the wood.
    """

    places: NDArray[np.int64]
    tones: FloatArray
    read_as: Literal["density", "colour"]
    solid_lab: FloatArray | None
    solid_density: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PhotoSolids:
    """Wood, solids and overprints of the photograph's k inks.

    Attributes
    ----------
    names : tuple of str
        The inks, in print order.
    places : tuple of int
        Their places among the job's inks.
    primaries_xyz : ndarray, shape (2^k, 3), float64
        Overprints as read, the others layered from what was read.
    measured : ndarray, shape (2^k,), bool
        Which of them were read.
    ours : ndarray, shape (N,), bool
        Patches of the sheet that no other ink prints.
    tones : ndarray, shape (N, k), float64
        Film tones (0 to 1) of all patches in these inks.
    solid : ndarray, shape (N,), bool
        Those of ours without tints.
    layered_lab : ndarray, shape (solid patches, 3), float64
        What they should read by layering the single solids.
    """

    names: tuple[str, ...]
    places: tuple[int, ...]
    primaries_xyz: FloatArray
    measured: NDArray[np.bool_]
    ours: NDArray[np.bool_]
    tones: FloatArray
    solid: NDArray[np.bool_]
    layered_lab: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PressSheet:
    """A whole sheet as read.

    Attributes
    ----------
    readings : Readings
        All readings, in the order of the patches.
    inks : tuple of InkReadings
        In the job's print order.
    wood_lab : ndarray, shape (3,), float64, or None
        The bare wood.
    photo : PhotoSolids or None
        Where colours of the wood and of all the photograph's solids were read.
    tells_n : bool
        Whether the readings tell the Yule-Nielsen factor.
    """

    readings: Readings
    inks: tuple[InkReadings, ...]
    wood_lab: FloatArray | None
    photo: PhotoSolids | None
    tells_n: bool


def press_sheet(job: Job, patches: Sequence[Patch], readings: Readings, where: str,
                distrusted: Sequence[int] = ()) -> PressSheet:
    """Sort a sheet's readings.

    Parameters
    ----------
    where : str
        The file of readings, for messages.
    distrusted : sequence of int
        Solid overprints, by place, that the model is to do without.

    Raises
    ------
    InputProblem
        When an ink's wedge has too few readings, lacks wood or solid, or prints no darker than
        the wood.
    """
    tones = np.array([patch.tones for patch in patches])
    kinds = np.array([patch.kind for patch in patches])
    rows = np.where(kinds == "wedge", [patch.row // 2 for patch in patches], -1)
    inks = tuple(_ink_readings(job, ink, patches, np.flatnonzero(rows == ink), tones[:, ink],
                               readings, where) for ink in range(len(job.ink)))
    wood = _middle(readings.lab[(tones == 0).all(axis=1)])
    photo = [place for place, ink in enumerate(job.ink) if ink.prints == "photo"]
    solids = None
    if photo and wood is not None and all(inks[ink].solid_lab is not None for ink in photo):
        trusted = readings.lab.copy()
        trusted[list(distrusted)] = np.nan
        solids = _photo_solids(tuple(job.ink[ink].name for ink in photo), photo, wood, tones,
                               [inks[ink] for ink in photo], trusted)
    tints = int((~np.isnan(readings.lab[kinds == "tint overprint", 0])).sum())
    return PressSheet(
        readings=readings, inks=inks, wood_lab=wood, photo=solids,
        tells_n=any(ink.read_as == "colour" for ink in inks) or (
            solids is not None and tints >= _LEAST_TINTS))


def _ink_readings(
    job: Job, ink: int, patches: Sequence[Patch], wedge: NDArray[np.int64], tones: FloatArray,
    readings: Readings, where: str,
) -> InkReadings:
    """The patches to fit an ink's curve to, and by which readings."""
    by_colour = wedge[~np.isnan(readings.lab[wedge, 0])]
    by_density = wedge[~np.isnan(readings.density[wedge])]
    as_colour = len(by_colour) >= len(by_density)
    places = by_colour if as_colour else by_density
    name, read = job.ink[ink].name, tones[places]
    if len(set(read)) < _LEAST_READINGS or read.min() > 0 or read.max() < 1:
        told = ", ".join(f"{100 * t:g}" for t in sorted(set(read))) or "no"
        raise InputProblem(
            where=f"{where}: {name}", found=f"readings of {told} % film tone",
            would_do=f"{_LEAST_READINGS} tones or more {_rows_of(patches, wedge)}, with 0 % and "
                     "100 % among them,")
    bare, solid = places[read == 0], places[read == 1]
    if as_colour:
        light = np.maximum(xyz_to_wide_rgb(lab_to_xyz(readings.lab)), _LEAST_LIGHT)
        fall = np.median(light[bare], axis=0) - np.median(light[solid], axis=0)
        rise, flat = float(fall.max()), float(np.abs(fall).max()) < _LEAST_FALL
    else:
        rise = float(np.median(readings.density[solid]) - np.median(readings.density[bare]))
        # a white ink is lighter than the wood: its densities are negative
        flat = abs(rise) < _LEAST_SOLID_D
    if flat:
        raise InputProblem(
            where=f"{where}: {name}", found=f"a solid ({patches[solid[0]].name}) that differs from "
            f"the wood ({patches[bare[0]].name}) by {rise:.2f} only",
            would_do="a wedge read from wood to solid, densities in the ink's own channel,")
    dark, light_d = readings.density[solid], readings.density[bare]
    told_d = not np.isnan(dark).all() and not np.isnan(light_d).all()
    return InkReadings(
        places=places, tones=read, read_as="colour" if as_colour else "density",
        solid_lab=_middle(readings.lab[wedge[tones[wedge] == 1.0]]),
        solid_density=float(np.nanmedian(dark) - np.nanmedian(light_d)) if told_d else None)


def _rows_of(patches: Sequence[Patch], wedge: NDArray[np.int64]) -> str:
    first, last = (patches[wedge[place]] for place in (0, -1))
    return "of it alone" if first.called else f"of rows {first.name[0]} and {last.name[0]}"


def _photo_solids(
    names: tuple[str, ...], photo: Sequence[int], wood: FloatArray, tones: FloatArray,
    inks: Sequence[InkReadings], trusted: FloatArray,
) -> PhotoSolids:
    single = {1 << place: lab_to_xyz(ink.solid_lab) for place, ink in enumerate(inks)
              if ink.solid_lab is not None}
    bare = lab_to_xyz(wood)
    films = [InkFilm(over_white_xyz=single[1 << place], white_xyz=bare,
                     over_black_xyz=np.zeros(3)) for place in range(len(photo))]
    layered = layered_primaries(bare, films, measured_xyz=single)
    others = [place for place in range(tones.shape[1]) if place not in photo]
    ours, own = (tones[:, others] == 0).all(axis=1), tones[:, photo]
    untinted = np.isin(own, (0.0, 1.0)).all(axis=1)
    index = (own @ (1 << np.arange(len(photo)))).astype(np.int64)
    over = ours & untinted & (own.sum(axis=1) > 1) & ~np.isnan(trusted[:, 0])
    overprints = dict(zip(index[over].tolist(), lab_to_xyz(trusted[over]), strict=True))
    primaries = layered_primaries(bare, films, measured_xyz={0: bare, **single, **overprints})
    measured = np.zeros(len(primaries), np.bool_)
    measured[[0, *single, *overprints]] = True
    solid = ours & untinted
    return PhotoSolids(names=names, places=tuple(photo), primaries_xyz=primaries,
                       measured=measured, ours=ours, tones=own, solid=solid,
                       layered_lab=xyz_to_lab(layered[index[solid]]))


def _middle(labs: FloatArray) -> FloatArray | None:
    """The middle of repeated readings, or None without any."""
    read = labs[~np.isnan(labs[:, 0])]
    if not len(read):
        return None
    near = colour_difference(read, np.median(read, axis=0))
    kept = read[near <= max(3.0 * float(np.median(near)), 1.0)]
    return np.asarray((kept if len(kept) else read).mean(axis=0))
