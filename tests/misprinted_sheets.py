"""Test sheets whose inks lie out of register, or whose press loses small dots and holes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.job_file.job_reader import read_job
from separations.uses.calibration.calibration_run import make_wedge
from tests.made_up_scans import ASIDE_MM, FILM_DPI, SOLIDS, PrintedSheet, film_bits

Plane = NDArray[np.float32]


@dataclass(frozen=True, kw_only=True)
class Misplaced:
    """How an ink lies: to the right and down (mm), and turned anticlockwise about the middle."""

    right_mm: float = 0.0
    down_mm: float = 0.0
    turn_deg: float = 0.0


def inks_in_place(job_path: Path, folder: Path, spread_mm: float = 0.035, least_um: float = 0.0
                  ) -> Mapping[str, Plane]:
    """What each ink covers, 0 to 1, with wood round the sheet, all in register.

    Dots and holes of the films whose diameter is less than the least are not printed.
    """
    per_mm = FILM_DPI / 25.4
    found = {}
    for name, ink in zip(make_wedge(job_path, folder), read_job(job_path).ink, strict=True):
        bits = np.pad(film_bits(folder / name), round(ASIDE_MM * per_mm))
        if least_um:
            least = np.pi / 4 * (least_um / 1000 * per_mm) ** 2
            bits = ~_without_small(~_without_small(bits, least, 8), least, 4)
        soft = cv2.GaussianBlur(bits.astype(np.float32), (0, 0), spread_mm * per_mm)
        found[ink.name] = np.clip((soft - 0.33) / 0.5 + 0.5, 0.0, 1.0)
    return found


def _without_small(bits: NDArray[np.bool_], least_px: float, neighbours: int
                   ) -> NDArray[np.bool_]:
    """What is left once spots of fewer pixels are gone."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats(bits.astype(np.uint8),
                                                           connectivity=neighbours)
    kept = stats[:, cv2.CC_STAT_AREA] >= least_px
    kept[0] = False
    return np.asarray(kept[labels])


def misprinted(sheet: PrintedSheet, inks: Mapping[str, Plane], places: Sequence[Misplaced]
               ) -> PrintedSheet:
    """The sheet as printed with its inks out of register; its patches' truth is left as it was."""
    light: Plane | None = None
    for (ink, covered), place in zip(inks.items(), places, strict=True):
        high, wide = covered.shape
        middle = ((wide - 1) / 2, (high - 1) / 2)
        moved = cv2.getRotationMatrix2D(middle, place.turn_deg, 1.0)
        moved[:, 2] += np.array([place.right_mm, place.down_mm]) * sheet.per_mm
        laid = cv2.warpAffine(covered, moved, (wide, high), flags=cv2.INTER_CUBIC)
        passed = 1.0 - np.clip(laid, 0, 1)[:, :, None] * (1.0 - np.array(SOLIDS[ink], np.float32))
        light = passed if light is None else light * passed
    assert light is not None
    return replace(sheet, light=light)
