"""Colour spaces of plates: one ink's Separation, and DeviceN over all of them.

A device with plates takes the tints and leaves the alternate colours alone. In a composite these
are what the inks are predicted to look like on the wood, so that a viewer shows the print; of a
single separation they are grey, so that any device makes a positive of it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
import pikepdf
from numpy.typing import NDArray

#: CIELAB (D50) of tints: shape (..., inks), 0 to 1, to shape (..., 3).
TintLab = Callable[[NDArray[np.float64]], NDArray[np.float64]]
#: Names that a Separation may not have as its own (ISO 32000-1:2008, 8.6.6.4).
_RESERVED = ("all", "none")
_D50 = (0.9642, 1.0, 0.8249)
_LAB_RANGES = np.array([(0.0, 100.0), (-128.0, 127.0), (-128.0, 127.0)])
_MOST_SAMPLES = 9000
_FINEST_STEPS = 65
_SAMPLE_MOST = 65_535


class Plates(NamedTuple):
    """Names of the inks' plates in print order, and how their tints look on the wood."""

    names: tuple[str, ...]
    lab: TintLab


def plate_names(inks: Sequence[str]) -> tuple[str, ...]:
    """Colorant names of inks: their own, or with a word added where the name is reserved."""
    return tuple(f"{ink} ink" if ink.casefold() in _RESERVED else ink for ink in inks)


def grey_space(name: str) -> pikepdf.Array:
    """The Separation of one plate, shown from white (0) to black (1)."""
    return pikepdf.Array([
        pikepdf.Name.Separation, _name(name), pikepdf.Name.DeviceGray, pikepdf.Dictionary(
            FunctionType=2, Domain=_numbers([0, 1]), C0=_numbers([1]), C1=_numbers([0]), N=1)])


def separation_space(pdf: pikepdf.Pdf, plates: Plates, number: int) -> pikepdf.Array:
    """The Separation of one ink: 0 is bare wood, 1 its solid on the wood."""
    tints = np.zeros((_FINEST_STEPS, len(plates.names)))
    tints[:, number] = np.linspace(0, 1, _FINEST_STEPS)
    return pikepdf.Array([
        pikepdf.Name.Separation, _name(plates.names[number]), _lab_space(),
        _sampled(pdf, plates.lab(tints), inputs=1)])


def device_n_space(pdf: pikepdf.Pdf, plates: Plates) -> pikepdf.Array:
    """DeviceN of all inks in print order, with the Separation of each among its attributes."""
    count = len(plates.names)
    steps = max(2, min(_FINEST_STEPS, int(_MOST_SAMPLES ** (1 / count) + 1e-9)))
    # A function's first input runs fastest (ISO 32000-1:2008, 7.10.2).
    tints = np.stack(np.meshgrid(*[np.linspace(0, 1, steps)] * count, indexing="ij")[::-1], -1)
    colorants = pikepdf.Dictionary({
        "/" + name: pdf.make_indirect(separation_space(pdf, plates, number))
        for number, name in enumerate(plates.names)})
    return pikepdf.Array([
        pikepdf.Name.DeviceN, pikepdf.Array([_name(name) for name in plates.names]), _lab_space(),
        _sampled(pdf, plates.lab(tints.reshape(-1, count)), inputs=count),
        pikepdf.Dictionary(Colorants=colorants)])


def _name(plate: str) -> pikepdf.Name:
    return pikepdf.Name("/" + plate)


def _lab_space() -> pikepdf.Array:
    return pikepdf.Array([pikepdf.Name.Lab, pikepdf.Dictionary(
        WhitePoint=_numbers(_D50), Range=_numbers(_LAB_RANGES[1:].ravel()))])


def _sampled(pdf: pikepdf.Pdf, labs: NDArray[np.float64], *, inputs: int) -> pikepdf.Object:
    """A sampled function (type 0) from tints to CIELAB, linear between samples."""
    least, most = _LAB_RANGES.T
    samples = np.rint(np.clip((labs - least) / (most - least), 0, 1) * _SAMPLE_MOST)
    steps = round(len(labs) ** (1 / inputs))
    return pdf.make_indirect(pikepdf.Stream(
        pdf, samples.astype(">u2").tobytes(), FunctionType=0, Domain=_numbers([0, 1] * inputs),
        Range=_numbers(_LAB_RANGES.ravel()), Size=pikepdf.Array([steps] * inputs),
        BitsPerSample=16))


def _numbers(values: Sequence[float] | NDArray[np.float64]) -> pikepdf.Array:
    return pikepdf.Array([pikepdf.Object.parse(f"{float(v):g}".encode("ascii")) for v in values])
