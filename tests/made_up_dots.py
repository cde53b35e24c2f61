"""Patches of a wedge as printed by a press that loses small dots and closes small holes, scanned.

Each patch is drawn for itself from the film's own bits, finely; a dot or hole whose diameter is
less than the press's least is not printed, those about it by chance.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.job_file.job_reader import read_job
from separations.halftone.screening import prepare
from separations.uses.calibration.patches import sheet_patches
from separations.uses.calibration.wedge_films import PATCH_MM, wedge_content, wedge_sheet
from separations.uses.press_scan.film_spots import FilmSpots, film_spots, patch_bits
from tests.small_art import write_small_job

Plane = NDArray[np.float32]


@dataclass(frozen=True, kw_only=True)
class Press:
    """What a press does to dots, and a scanner to the print.

    ``least_um`` is the diameter of film dots and holes under which none prints; ``unsure`` the
    share of it about which some do.
    """

    least_um: float
    unsure: float = 0.05
    spread_mm: float = 0.015
    wander_mm: float = 0.06
    ppi: float = 600.0
    solid: float = 0.1
    grain: float = 0.03
    noise: float = 0.005
    blur_px: float = 0.6
    aside_mm: tuple[float, float] = (0.0, 0.0)
    seed: int = 1


@dataclass(frozen=True, kw_only=True, eq=False)
class WedgeBits:
    """The patches of one ink whose dots or holes stand single, with their films' bits."""

    spots: tuple[FilmSpots, ...]
    bits: tuple[NDArray[np.bool_], ...]
    pixel_mm: float


def wedge_bits(folder: Path, *changes: tuple[str, str]) -> WedgeBits:
    """Those of the small job's yellow, one row of its wedge."""
    job = read_job(write_small_job(folder, *changes))
    laid = wedge_sheet(job, sheet_patches(job))
    spots = tuple(one for one in film_spots(job, laid) if one.ink == 0 and one.patch.row == 0)
    content = prepare(wedge_content(job, job.ink[0], laid, ()))
    bits = [patch_bits(content, laid, one.patch) for one in spots]
    return WedgeBits(spots=spots, bits=tuple(one for one, _, _ in bits), pixel_mm=bits[0][2])


def printed_coverage(bits: NDArray[np.bool_], pixel_mm: float, spots: FilmSpots, press: Press
                     ) -> tuple[Plane, float, float]:
    """How dark a patch is in a scan, its pixels to a millimetre, and which share was printed."""
    random = np.random.default_rng(press.seed)
    seen = ~bits if spots.are_holes else bits
    count, labels, stats, middles = cv2.connectedComponentsWithStats(
        seen.astype(np.uint8), connectivity=4 if spots.are_holes else 8)
    least = press.least_um * (1 + press.unsure * random.standard_normal(count))
    kept = np.sqrt(4 * stats[:, cv2.CC_STAT_AREA] * pixel_mm**2 / np.pi) * 1000 >= least
    kept[0] = False
    inner = ((middles[1:] * pixel_mm > 1.4) & (middles[1:] * pixel_mm < PATCH_MM - 1.4)).all(axis=1)
    share = float(kept[1:][inner].mean())
    left = kept[labels]
    ink = (~left if spots.are_holes else left).astype(np.float32)
    finer = max(1, round(pixel_mm * 1.2 * press.ppi / 25.4))
    fine_mm = pixel_mm / finer
    ink = cv2.resize(ink, None, fx=finer, fy=finer, interpolation=cv2.INTER_NEAREST)
    soft = cv2.GaussianBlur(ink, (0, 0), max(press.spread_mm, 0.004) / fine_mm)
    covered = np.clip((soft - 0.33) / 0.5 + 0.5, 0.0, 1.0)
    passed = 1 - covered * np.float32(1 - np.sqrt(press.solid))
    light = passed * cv2.GaussianBlur(passed, (0, 0), press.wander_mm / fine_mm)
    per_mm = press.ppi / 25.4
    side = round(PATCH_MM * per_mm)
    moved = np.array([[per_mm * fine_mm, 0, press.aside_mm[0] * per_mm],
                      [0, per_mm * fine_mm, press.aside_mm[1] * per_mm]], np.float32)
    moved[:, 2] += 0.5 * per_mm * fine_mm - 0.5
    blurred = cv2.GaussianBlur(light, (0, 0), max(0.4 / (per_mm * fine_mm), 0.1))
    scanned = cv2.warpAffine(blurred, moved, (side, side), flags=cv2.INTER_LINEAR,
                             borderMode=cv2.BORDER_REPLICATE)
    fibres = random.normal(0, 1, (max(2, side // 40), side)).astype(np.float32)
    fibres = cv2.GaussianBlur(fibres, (0, 0), sigmaX=0.25 * per_mm, sigmaY=0.5)
    scanned = scanned * (1 + press.grain * cv2.resize(fibres / fibres.std(), (side, side)))
    scanned = cv2.GaussianBlur(scanned, (0, 0), press.blur_px)
    scanned += random.normal(0, press.noise, scanned.shape).astype(np.float32)
    return (1 - scanned) / np.float32(1 - press.solid), per_mm, share
