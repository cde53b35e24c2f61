"""Made-up inks and a made-up wood as spectra, and files of them as measuring programs write them.

Invented: bell curves of density, with a little scattering, on a contrast card.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from separations.colour.kubelka_munk import over
from tests.small_art import write_small_job

FloatArray = NDArray[np.float64]
WAVES = np.arange(400.0, 701.0, 10.0)
#: Density, middle and width (nm) of each band that an ink takes out.
BANDS = {"Yellow": ((1.4, 430.0, 45.0),), "Magenta": ((1.5, 540.0, 40.0), (0.3, 400.0, 40.0)),
         "Cyan": ((1.5, 640.0, 60.0), (0.2, 430.0, 60.0)), "Black": ((1.7, 550.0, 400.0),)}
WOOD = 0.12 + 0.5 / (1.0 + np.exp(-(WAVES - 560.0) / 70.0))
SURFACE = 0.01


def ink_rows(name: str) -> dict[str, FloatArray]:
    """An ink's file: its rows by name."""
    density = sum(depth * np.exp(-0.5 * ((WAVES - middle) / width) ** 2)
                  for depth, middle, width in BANDS[name])
    through = 10.0 ** -(density / 2 + 0.01)
    dark = 0.02 * through
    card = {"white": 0.86 - 0.2 * np.exp(-(WAVES - 400.0) / 15.0), "black": np.full(31, 0.04)}
    solids = {f"over {half}": SURFACE + (1 - SURFACE) * over(
        dark, through, (spectrum - SURFACE) / (1 - SURFACE)) for half, spectrum in card.items()}
    return {"white": card["white"], "over white": solids["over white"], "black": card["black"],
            "over black": solids["over black"]}


def write_csv(path: Path, rows: Mapping[str, FloatArray], full: float = 1.0) -> Path:
    """Rows as a spectral CSV, of 1 or in percent."""
    lines = ["patch," + ",".join(f"nm{wave:.0f}" for wave in WAVES)]
    lines += [",".join([name, *(f"{full * v:.6f}" for v in row)]) for name, row in rows.items()]
    path.write_text("\n".join(lines) + "\n")
    return path


def write_cgats(path: Path, rows: Mapping[str, FloatArray]) -> Path:
    """Rows as CGATS text."""
    fields = ["SAMPLE_ID", *(f"SPECTRAL_NM_{wave:.0f}" for wave in WAVES)]
    path.write_text("\n".join([
        "CGATS.17", f"NUMBER_OF_FIELDS {len(fields)}", "BEGIN_DATA_FORMAT", "\t".join(fields),
        "END_DATA_FORMAT", f"NUMBER_OF_SETS {len(rows)}", "BEGIN_DATA",
        *("\t".join([f'"{name}"', *(f"{v:.6f}" for v in row)]) for name, row in rows.items()),
        "END_DATA", ""]))
    return path


def write_cxf(path: Path, rows: Mapping[str, FloatArray]) -> Path:
    """Rows as CxF."""
    objects = "".join(
        f'<Object ObjectType="Standard" Name="{name}" Id="o{number}"><ColorValues>'
        f'<ReflectanceSpectrum StartWL="400" ColorSpecification="c">'
        + " ".join(f"{v:.6f}" for v in row)
        + "</ReflectanceSpectrum></ColorValues></Object>"
        for number, (name, row) in enumerate(rows.items()))
    path.write_text(
        '<CxF xmlns="http://colorexchangeformat.com/CxF3-core"><Resources><ObjectCollection>'
        f"{objects}</ObjectCollection><ColorSpecificationCollection><ColorSpecification Id=\"c\">"
        '<MeasurementSpec><WavelengthRange StartWL="400" Increment="10"/></MeasurementSpec>'
        "</ColorSpecification></ColorSpecificationCollection></Resources></CxF>")
    return path


def write_spectral_job(folder: Path, *replacements: tuple[str, str]) -> Path:
    """The small job with spectra of all its inks and of the wood, in three formats."""
    job = write_small_job(folder, *(
        (f'colour = "process {name.lower()}"', f'reflectance = "{name.lower()}.txt"')
        for name in BANDS), *replacements)
    job.write_text(job.read_text() + '[wood]\nreflectance = "wood.csv"\n')
    write_csv(folder / "wood.csv", {"wood": WOOD})
    for name, write in zip(BANDS, (write_csv, write_cgats, write_cxf, write_csv), strict=True):
        write(folder / f"{name.lower()}.txt", ink_rows(name))
    return job
