"""A made-up press that prints a job's test sheet, so that a calibration has a truth to find."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preflight.job_file.job import Job
from separations.colour.ink_colours import print_model, process_ink
from separations.colour.print_model import PrintModel
from separations.colour.tone_curve import ToneCurve, tone_curve
from separations.uses.calibration.patches import Patch, sheet_patches, tone_column

FloatArray = NDArray[np.float64]
WOOD_LAB = (74.0, 6.0, 26.0)
INKS = ("yellow", "magenta", "cyan", "black")
#: The channel in which each ink's density is read: blue, green, red, green.
CHANNELS = (2, 1, 0, 1)


def press_curves() -> list[ToneCurve]:
    """How its inks print: light tints lose a little, middle tones gain 10 to 16 %. Invented."""
    film = [0.0, 0.02, 0.05, 0.25, 0.5, 0.75, 1.0]
    return [tone_curve(film, [0.0, 0.01, 0.04, 0.27 + 0.01 * k, 0.6 + 0.02 * k, 0.85 + 0.01 * k,
                              1.0]) for k in range(4)]


def press_model(n: float) -> PrintModel:
    """Its four process inks on its wood."""
    return print_model(WOOD_LAB, [process_ink(name) for name in INKS],
                       tone_curves=press_curves(), n=n)


def printed_sheet(job: Job, n: float, noise_lab: float, seed: int
                  ) -> tuple[tuple[Patch, ...], FloatArray]:
    """The sheet's patches and their CIELAB readings, noise as a standard deviation."""
    patches = sheet_patches(job)
    lab = press_model(n).predict_lab(np.array([patch.tones for patch in patches]))
    return patches, lab + np.random.default_rng(seed).normal(0.0, noise_lab, lab.shape)


def write_readings(path: Path, job: Job, patches: tuple[Patch, ...], values: FloatArray,
                   columns: str = "Lab", mark: str = ",") -> Path:
    """The filled list, separated as told; with ``;`` numbers have decimal commas."""
    rows = [mark.join(["patch", *(tone_column(ink.name) for ink in job.ink), *columns])]
    for patch, row in zip(patches, np.atleast_2d(values.T).T, strict=True):
        cells = ["" if np.isnan(v) else f"{v:.4f}" for v in row]
        if mark == ";":
            cells = [cell.replace(".", ",") for cell in cells]
        rows.append(mark.join([patch.name, *(f"{t:g}" for t in patch.percent), *cells]))
    path.write_text("\r\n".join(rows) + "\r\n", encoding="utf-8-sig")
    return path
