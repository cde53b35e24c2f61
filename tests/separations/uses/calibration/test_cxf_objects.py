"""CxF readings: spectra and colours read, and each fault refused with its sentence."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.uses.calibration.readings import Readings
from separations.uses.calibration.sheet_by_tones import read_sheet

Write = Callable[..., Path]
BANDS = " ".join(["0.5"] * 16)
GOOD = f"""<?xml version="1.0" encoding="UTF-8"?>
<CxF xmlns="http://colorexchangeformat.com/CxF3-core"><Resources><ObjectCollection>
<Object ObjectType="Standard" Name="A1" Id="o1"><CreationDate>2026-01-01T00:00:00Z</CreationDate>
<ColorValues><ReflectanceSpectrum StartWL="400" ColorSpecification="c">{BANDS}</ReflectanceSpectrum>
<ColorCIELab ColorSpecification="c"><L>1</L><A>2</A><B>3</B></ColorCIELab></ColorValues></Object>
<Object ObjectType="Standard" Name="A2" Id="o2"><CreationDate>2026-01-01T00:00:00Z</CreationDate>
<ColorValues><ColorCIELab ColorSpecification="c"><L>50</L><A>10</A><B>-20</B></ColorCIELab>
</ColorValues></Object>
<Object ObjectType="Target" Name="A3" Id="o3"><CreationDate>2026-01-01T00:00:00Z</CreationDate>
</Object></ObjectCollection><ColorSpecificationCollection><ColorSpecification Id="c">
<TristimulusSpec><Illuminant>D50</Illuminant><Observer>2_Degree</Observer></TristimulusSpec>
<MeasurementSpec><MeasurementType>Spectrum_Reflectance</MeasurementType>
<WavelengthRange StartWL="400" Increment="20"/><Device><DeviceIllumination>M1_Daylight
</DeviceIllumination></Device></MeasurementSpec></ColorSpecification></ColorSpecificationCollection>
</Resources></CxF>
"""
SECOND = GOOD.replace('Id="c"', 'Id="d"')[GOOD.index("<ColorSpecification "):].partition(
    "</ColorSpecificationC")[0].replace("M1_Daylight", "M0_Incandescent")


def read(text: str | bytes, small_job: Write, tmp_path: Path) -> Readings:
    job = read_job(small_job())
    path = tmp_path / "read.cxf"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_sheet(path, job)[1]


@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig"])
def test_spectra_stand_before_colours(small_job: Write, tmp_path: Path, coding: str) -> None:
    found = read(GOOD.encode(coding), small_job, tmp_path)
    np.testing.assert_allclose(found.lab[0], (76.07, 0, 0), atol=0.02)  # half of all light
    np.testing.assert_allclose(found.lab[1], (50, 10, -20))
    assert np.isnan(found.lab[2:]).all()
    assert (found.condition.mode, found.condition.illuminant) == ("M1", "D50")


BOMB = '<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>'


@pytest.mark.parametrize(("change", "says"), [
    (("?>\n", f"?>{BOMB}\n"), "entities or a document type"),
    (("</CxF>", ""), "XML that is broken"),
    (("CxF3-core", "cxf2"), "a document <CxF> of http://colorexchangeformat.com/cxf2"),
    ((' Increment="20"', ""), "a spectrum of 16 figures from '400' nm every '' nm"),
    ((' Increment="20"', ' Increment="7"'), "16 wavelengths from 400 to 505 nm"),
    ((' Increment="20"', ' Increment="99"'), "from 400 nm on every 99 nm"),
    ((BANDS, BANDS.replace(" 0.5", " x", 1)), "'x'"), ((BANDS, ""), "a spectrum of 0 figures"),
    ((BANDS, BANDS + " 0.5" * 300), "a spectrum of 316 figures"),
    (('Name="A1"', 'Name="Q9"'), "the patch 'Q9'"), (('Name="A2"', 'Name="A1"'), "a second row"),
    (("<L>50</L>", ""), "a colour with a coordinate missing"), (("<L>50", "<L>500"), "'500'"),
    (("<Illuminant>D50", "<Illuminant>D65"), "object 2: found colours for D65 and 2°"),
    (("ColorValues>", "Nothing>"), "no object with a spectrum")])
def test_bad_files_are_refused(
    small_job: Write, tmp_path: Path, change: tuple[str, str], says: str
) -> None:
    assert change[0] in GOOD
    with pytest.raises(InputProblem) as found:
        read(GOOD.replace(*change), small_job, tmp_path)
    assert says in str(found.value)


def test_readings_of_two_conditions_are_refused(small_job: Write, tmp_path: Path) -> None:
    text = GOOD.replace("</ColorSpecificationC", f"{SECOND}</ColorSpecificationC").replace(
        '<ColorCIELab ColorSpecification="c"><L>50', '<ColorCIELab ColorSpecification="d"><L>50')
    with pytest.raises(InputProblem, match=r"several measurement conditions \(M0, M1\)"):
        read(text, small_job, tmp_path)


@pytest.mark.parametrize("coding", ["latin-1", "cp1252", "utf-16-be", "utf-32"])
def test_a_file_in_a_wrong_encoding_is_refused(
    small_job: Write, tmp_path: Path, coding: str
) -> None:
    with pytest.raises(InputProblem):
        read(GOOD.replace("Standard", "Größe").encode(coding), small_job, tmp_path)
