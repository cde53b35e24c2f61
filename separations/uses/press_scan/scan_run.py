"""The typed call behind ``topsheet calibrate`` with pictures of the printed test sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.colour.job_inks import whole_model
from separations.colour.measured_files.measuring_condition import MeasuringCondition
from separations.runtime.progress import Say, silent
from separations.uses.calibration.calibration_run import (
    Calibration,
    MeasuredSheet,
    calibrate_sheet,
)
from separations.uses.calibration.patches import patches_csv, sheet_patches
from separations.uses.calibration.readings import Readings
from separations.uses.calibration.sheet_marks import sheet_number
from separations.uses.calibration.wedge_films import wedge_sheet
from separations.uses.press_scan.film_spots import film_spots
from separations.uses.press_scan.joined_scans import JoinedScans, join_scans
from separations.uses.press_scan.scan_picture import is_picture
from separations.uses.press_scan.scan_reading import ScanReading, read_scan
from separations.uses.press_scan.seen_of_scans import seen_of_scans

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
    with_icc: bool = False, varnished: bool = False, say: Say = silent,
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
            raise InputProblem(where=str(path), found="a file beside others that is no picture",
                               would_do="pictures of the sheet alone, or one list of readings")
    patches = sheet_patches(job)
    laid, number = wedge_sheet(job, patches), sheet_number(job, patches)
    lightness = whole_model(job).primaries_lab[:, 0]
    light_inks = any(lightness[1 << ink] > lightness[0] for ink in range(len(job.ink)))
    spots = film_spots(job, laid)
    read = []
    for path in scans:
        say(f"Reading {path.name}")
        read.append(read_scan(path, laid, number, light_inks=light_inks, spots=spots))
    joined = join_scans(job, patches, read)
    print_seen = seen_of_scans(job, laid, read)
    readings = Readings(
        density=joined.density, lab=np.full((len(patches), 3), np.nan), read_from="scan",
        condition=MeasuringCondition(says=_read_by(job, read, joined)))
    listed = patches_csv(job, patches, joined.density.tolist())
    found = calibrate_sheet(
        job, MeasuredSheet(
            patches=patches, readings=readings, where=", ".join(map(str, scans)),
            further_files={
                READINGS_FILE: listed.encode("utf-8-sig"),
                **{FOUND_FILE.format(k): one.drawn for k, one in enumerate(read, 1)}},
            seen=print_seen.inks),
        out, weighed_path=weighed_path, with_icc=with_icc, varnished=varnished, say=say)
    return ScanCalibration(calibration=found, says=(*_told(job, read, joined), *print_seen.says))


def _read_by(job: Job, read: Sequence[ScanReading], joined: JoinedScans) -> str:
    """How it was read, for the profile's notes and the page."""
    kind = "photographs" if any(one.in_perspective for one in read) else "scans"
    count = f"{len(read)} {kind}" if len(read) > 1 else f"a {kind.removesuffix('s')}"
    colours = ", ".join(f"{ink.name} in {colour}" for ink, colour in
                        zip(job.ink, joined.colours, strict=True))
    levels = ", ".join(dict.fromkeys(one.colour_told for one in read))
    return (f"read from {count} of the print, over the bare wood beside each patch: {colours} "
            f"light; levels read as {levels}")


def _told(job: Job, read: Sequence[ScanReading], joined: JoinedScans) -> Iterator[str]:
    told = _read_by(job, read, joined)
    yield told[0].upper() + told[1:] + "."
    yield ("A picture tells no colours that could be trusted: solids and overprints stay "
           "estimates.")
    if any(one.in_perspective for one in read):
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
