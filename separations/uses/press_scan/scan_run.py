"""The typed call behind ``topsheet calibrate`` with pictures of the printed test sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.colour.job_inks import whole_model
from separations.colour.measured_files.measuring_condition import MeasuringCondition
from separations.colour.press_profile import NINETY
from separations.runtime.progress import Say, silent
from separations.uses.calibration.calibration_run import (
    Calibration,
    MeasuredSheet,
    calibrate_sheet,
)
from separations.uses.calibration.patches import patches_csv, sheet_patches
from separations.uses.calibration.readings import Readings
from separations.uses.calibration.resampled_fits import FitSpread
from separations.uses.calibration.sheet_marks import sheet_number
from separations.uses.calibration.wedge_films import wedge_sheet
from separations.uses.press_scan.beside_target import (
    NOTHING_BESIDE,
    Beside,
    BesideTarget,
    read_colour_target,
    read_grey_scale,
)
from separations.uses.press_scan.film_spots import film_spots
from separations.uses.press_scan.grey_curve import GREY_TOLD
from separations.uses.press_scan.joined_scans import JoinedScans, join_scans
from separations.uses.press_scan.scan_picture import is_picture
from separations.uses.press_scan.scan_reading import ScanReading, read_scan
from separations.uses.press_scan.seen_of_scans import seen_of_scans
from separations.uses.press_scan.target_colours import TargetFit, solid_colours, target_fit

#: The list of patches as read, and the pictures with what was found, by number.
READINGS_FILE = "scan-readings.csv"
FOUND_FILE = "scan-found-{}.jpg"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ScanCalibration:
    """What pictures of a test sheet told.

    Attributes
    ----------
    calibration : Calibration
        Profile and fit.
    says : tuple of str
        How it was read and what was left out, a sentence each.
    """

    calibration: Calibration
    says: tuple[str, ...]


def calibrate_from_scans(
    job_path: Path, scans: Sequence[Path], out: Path, *, weighed_path: Path | None = None,
    beside: Beside = NOTHING_BESIDE, with_icc: bool = False, varnished: bool = False,
    say: Say = silent,
) -> ScanCalibration:
    """Read a job's printed test sheet from pictures of it; fit it, write a press profile.

    Parameters
    ----------
    job_path : Path
        The job file that the test sheet was made from.
    scans : sequence of Path
        Pictures of one print, each of half the sheet or more.
    out : Path
        The folder, which appears whole or not at all: what a meter's readings make, the list of
        patches as read, and each picture with what was found in it.
    beside : Beside
        A grey scale and a colour target of known values that lie beside the sheet.
    weighed_path, with_icc, varnished, say
        As `separations.uses.calibration.calibration_run.calibrate`.

    Raises
    ------
    InputProblem
        When a picture cannot be used, is of another sheet or mirrored; when pictures together do
        not tell every ink's wedge; as for a meter's readings.
    """
    job = read_job(job_path)
    for path in scans:
        if not is_picture(path):
            raise InputProblem(where=str(path), found="a file beside others that is not a picture",
                               would_do="pictures of the sheet alone, or one list of readings")
    patches = sheet_patches(job)
    laid, number = wedge_sheet(job, patches), sheet_number(job, patches)
    lightness = whole_model(job).primaries_lab[:, 0]
    light_inks = any(lightness[1 << ink] > lightness[0] for ink in range(len(job.ink)))
    spots = film_spots(job, laid)
    by_path: dict[Path, ScanReading] = {}
    beside = _in_pictures(beside, scans)
    for path in _first_with_grey(scans, beside):
        say(f"Reading {path.name}")
        by_path[path] = read_scan(path, laid, number, light_inks=light_inks, beside=beside,
                                  spots=spots)
        if beside.grey is not None and beside.light is None:
            beside = replace(beside, light=by_path[path].light)
    read = [by_path[path] for path in scans]
    joined = join_scans(job, patches, read)
    target = target_fit(read, beside)
    print_seen = seen_of_scans(job, laid, read)
    readings = Readings(
        density=joined.density, read_from="scan", density_noise=joined.noise,
        shared_sd=joined.shared_sd, lab=solid_colours(patches, joined, target),
        lab_noise=None if target is None else target.noise,
        condition=MeasuringCondition(says=_read_by(job, read, joined, target)))
    listed = patches_csv(job, patches, joined.density.tolist())
    found = calibrate_sheet(
        job, MeasuredSheet(
            patches=patches, readings=readings, where=", ".join(map(str, scans)),
            further_files={
                READINGS_FILE: listed.encode("utf-8-sig"),
                **{FOUND_FILE.format(k): one.drawn for k, one in enumerate(read, 1)}},
            seen=print_seen.inks),
        out, weighed_path=weighed_path, with_icc=with_icc, varnished=varnished, say=say)
    return ScanCalibration(calibration=found, says=(
        *_told(job, read, joined, target), _tone_values_within(job, found.spread),
        *print_seen.says))


def beside_sheet(grey_path: Path | None, colours_path: Path | None) -> Beside:
    """What lies beside the sheet, by the tables of a grey scale and of a colour target.

    Raises
    ------
    InputProblem
        When a table cannot be read or tells too little.
    """
    return Beside(grey=None if grey_path is None else read_grey_scale(grey_path),
                  colours=None if colours_path is None else read_colour_target(colours_path))


def _in_pictures(beside: Beside, scans: Sequence[Path]) -> Beside:
    """What lies beside the sheet, in the first picture unless its table names another.

    Raises
    ------
    InputProblem
        When a table names a picture that was not given.
    """
    def placed(target: BesideTarget | None) -> BesideTarget | None:
        if target is None:
            return None
        target = replace(target, picture=target.picture or scans[0].name)
        if not any(target.is_in(path) for path in scans):
            raise InputProblem(where=f"{target.path}: picture", found=f"'{target.picture}'",
                               would_do="the name of one of the pictures given")
        return target

    return replace(beside, grey=placed(beside.grey), colours=placed(beside.colours))


def _first_with_grey(scans: Sequence[Path], beside: Beside) -> tuple[Path, ...]:
    """The pictures, that with the grey scale first: it tells the others' levels as well."""
    grey = beside.grey
    return tuple(scans) if grey is None else tuple(
        sorted(scans, key=lambda path: not grey.is_in(path)))


def _read_by(job: Job, read: Sequence[ScanReading], joined: JoinedScans,
             target: TargetFit | None) -> str:
    """How it was read, for the profile's notes and the page."""
    kind = "photographs" if any(one.in_perspective for one in read) else "scans"
    count = f"{len(read)} {kind}" if len(read) > 1 else f"a {kind.removesuffix('s')}"
    colours = ", ".join(f"{ink.name} in {colour}" for ink, colour in
                        zip(job.ink, joined.colours, strict=True))
    levels = ", ".join(dict.fromkeys(one.colour_told for one in read))
    return (f"read from {count} of the print, over the bare wood beside each patch: {colours} "
            f"light; levels read as {levels}" + ("" if target is None else
            f"; colours of wood, solids and overprints by a colour target beside the sheet, whose "
            f"patches a fit without them misses by ΔE00 {target.missed_de00:.1f} on average"))


def _tone_values_within(job: Job, spread: FitSpread) -> str:
    parts = ", ".join(f"± {100 * NINETY * float(np.nanmax(sd)):.1f} points ({ink.name})"
                      for ink, sd in zip(job.ink, spread.step_value_sd, strict=True)
                      if not np.isnan(sd).all())
    return (f"Tone values, for which n does not count, lie within {parts} or less nine times in "
            "ten.")


def _told(job: Job, read: Sequence[ScanReading], joined: JoinedScans,
          target: TargetFit | None) -> Iterator[str]:
    told = _read_by(job, read, joined, target)
    yield told[0].upper() + told[1:] + "."
    if target is None:
        yield ("A picture tells no colours that could be trusted: solids and overprints stay "
               "estimates. A colour target of known values beside the sheet would tell them.")
    if any(one.in_perspective and one.colour_told != GREY_TOLD for one in read):
        yield ("A camera may change contrast in ways that its profile does not tell; that is not "
               "in the ±. A scan is safer.")
    if joined.apart:
        yield (f"Red, green and blue light give tone values {100 * joined.apart:.1f} points apart "
               "for one ink: the contrast may have been changed, and tone values may be off by "
               "more than the ±.")
    for one in read:
        if one.sharpened:
            yield (f"{one.path.name} had been sharpened; this was undone as far as the edges of "
                   "solids show it. Next time, scan without sharpening.")
        if one.lossy:
            yield (f"{one.path.name} is in a format that keeps fewer colours than lightnesses, "
                   "which moves light tints by up to 3 points: a TIFF or PNG is safer.")
    reasons: dict[str, list[str]] = {}
    for name, reason in joined.left_out:
        reasons.setdefault(reason, []).append(name)
    for reason, names in reasons.items():
        yield f"Left out: {', '.join(names)}: {reason}."
