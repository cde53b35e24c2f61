"""CxF files against the schema of CxF3 as an open library has it.

Source: colour-cxf 0.1.1 (BSD), whose classes are made from the CxF3 core schema (ISO 17972-1). Our
target file must be read by it to the last patch, and what it writes must be read by us.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from defusedxml.ElementTree import fromstring

from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import colour_difference, lab_to_xyz, xyz_to_lab
from separations.colour.measured_files.cxf_objects import cxf_rows
from separations.colour.spectra import reflectance_to_xyz
from separations.uses.calibration.patches import sheet_patches
from separations.uses.calibration.sheet_by_tones import read_sheet
from separations.uses.calibration.target_files import target_cxf

colour_cxf = pytest.importorskip("colour_cxf")
SPACE = "{http://colorexchangeformat.com/CxF3-core}"
Write = Callable[..., Path]
DATE = "2026-01-01T00:00:00Z"
SPOT = ('colour = "process black"', "over_white = [25, 15, -45]")


def test_our_target_is_read_by_the_library(small_job: Write) -> None:
    job = read_job(small_job(SPOT))
    patches = sheet_patches(job)
    document = colour_cxf.read_cxf(target_cxf(job, patches).encode())
    objects = document.resources.object_collection.object_value
    assert [one.name for one in objects] == [patch.name for patch in patches]
    assert {one.object_type for one in objects} == {"Target"}
    for one, patch in zip(objects, patches, strict=True):
        (tones,) = one.device_color_values.choice
        spots = [(spot.name, spot.percentage) for spot in tones.spot_color]
        # yellow, magenta, cyan are printed in this order; the fourth ink is no process ink
        assert (tones.yellow, tones.magenta, tones.cyan) == patch.percent[:3]
        assert tones.black == 0
        assert spots == [("Black", patch.percent[3])]


def test_a_file_that_the_library_writes_is_read_by_us(small_job: Write, tmp_path: Path) -> None:
    cxf3 = colour_cxf.cxf3
    job = read_job(small_job())
    patches = sheet_patches(job)
    spectra = np.linspace(0.1, 0.9, len(patches))[:, None] * np.ones(31)
    objects = [cxf3.Object(
        creation_date=cxf3.CreationDate(value=DATE), object_type="Standard", name=patch.name,
        id=f"o{place}", color_values=cxf3.ColorValues(choice=[cxf3.ReflectanceSpectrum(
            value=row.tolist(), start_wl=400, color_specification="c")]))
        for place, (patch, row) in enumerate(zip(patches, spectra, strict=True))]
    measured = cxf3.MeasurementSpec(
        measurement_type=cxf3.MeasurementType(value="Spectrum_Reflectance"),
        wavelength_range=cxf3.WavelengthRange(start_wl=400, increment=10),
        device=cxf3.Device(
            device_illumination=cxf3.DeviceIllumination(
                value=cxf3.EdeviceIlluminationType.M1_DAYLIGHT)))
    document = cxf3.CxF(resources=cxf3.Resources(
        object_collection=cxf3.ObjectCollection(object_value=objects),
        color_specification_collection=cxf3.ColorSpecificationCollection(
            color_specification=[cxf3.ColorSpecification(id="c", measurement_spec=measured)])))
    path = tmp_path / "read.cxf"
    path.write_bytes(colour_cxf.write_cxf(document))
    found = read_sheet(path, job)[1]
    np.testing.assert_allclose(lab_to_xyz(found.lab)[:, 1], spectra[:, 0], atol=1e-4)
    assert found.condition.mode == "M1"


def test_spectra_of_a_sample_file_are_the_colours_that_it_tells() -> None:
    """The sample that the library carries: 144 patches with spectra and CIELAB beside them."""
    text = (Path(colour_cxf.__file__).parent / "tests/resources/sample.cxf").read_text()
    rows, condition = cxf_rows(text, "sample.cxf")
    assert len(rows) == 144
    assert (condition.illuminant, condition.observer) == ("D50", "2")
    spectra = np.array([[float(row[f"nm{wave}"]) for wave in range(380, 681, 10)]
                        for _, row in rows])
    told = [[float(one.findtext(f"{SPACE}{axis}") or "nan") for axis in "LAB"]
            for one in fromstring(text.encode()).iter(f"{SPACE}ColorCIELab")]
    away = colour_difference(xyz_to_lab(reflectance_to_xyz(380, spectra)), told)
    assert away.max() < 0.2
