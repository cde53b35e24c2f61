"""Readings damaged at random: each file is read or refused with a sentence, and nothing else."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.uses.calibration.sheet_by_tones import read_sheet
from tests.small_art import write_small_job

WAVES = range(400, 701, 20)
ROWS = [[f"A{patch}", *(f"{0.03 * patch + 0.001 * wave / 20:.4f}" for wave in WAVES)]
        for patch in range(1, 8)]
CSV = "\n".join([";".join(["patch", *(f"nm{wave}" for wave in WAVES)]),
                 *(";".join(row) for row in ROWS)])
CGATS = "\n".join([
    "CGATS.17", 'MEASUREMENT_SOURCE "M1"', f"NUMBER_OF_FIELDS {len(ROWS[0])}",
    "BEGIN_DATA_FORMAT", " ".join(["SAMPLE_ID", *(f"SPECTRAL_NM_{wave}" for wave in WAVES)]),
    "END_DATA_FORMAT", f"NUMBER_OF_SETS {len(ROWS)}", "BEGIN_DATA",
    *(" ".join(row) for row in ROWS), "END_DATA", ""])
LAB = "\n".join([
    "CGATS.17", 'FILTER "UVcut"', "BEGIN_DATA_FORMAT", "SAMPLE_ID LAB_L LAB_A LAB_B D_MAJOR_FILTER",
    "END_DATA_FORMAT", "NUMBER_OF_SETS 2", "BEGIN_DATA", "A1 74 6 26 0.02", "A2 70,5 5 30 0.1",
    "END_DATA", ""])
CXF = "\n".join([
    '<?xml version="1.0"?>', '<CxF xmlns="http://colorexchangeformat.com/CxF3-core"><Resources>',
    "<ObjectCollection>",
    *(f'<Object Name="{row[0]}" Id="{row[0]}" ObjectType="Standard"><ColorValues>'
      f'<ReflectanceSpectrum StartWL="400" ColorSpecification="c">{" ".join(row[1:])}'
      "</ReflectanceSpectrum></ColorValues></Object>" for row in ROWS),
    '</ObjectCollection><ColorSpecificationCollection><ColorSpecification Id="c"><MeasurementSpec>',
    '<WavelengthRange StartWL="400" Increment="20"/></MeasurementSpec></ColorSpecification>',
    "</ColorSpecificationCollection></Resources></CxF>"])
KINDS = {"csv": CSV, "cgats": CGATS, "lab": LAB, "cxf": CXF}
BITS = ["\0", "\t", "\r", '"', ";", ",", "<", "&", "]]>", "nan", "inf", "-", "1e400", "9" * 40, "é",
        "\ufeff", "BEGIN_DATA", "END_DATA", "END_DATA_FORMAT", "<!DOCTYPE x>", "&a;", "nm400",
        "SPECTRAL_NM_380", "²", "٣", "\x85", "\u2028", 'Increment="0"', 'StartWL="²"']


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Job:
    return read_job(write_small_job(tmp_path_factory.mktemp("job")))


def damaged(text: str, random: np.random.Generator) -> bytes:
    """The text with a few pieces cut out, doubled, moved or replaced."""
    for _ in range(int(random.integers(1, 4))):
        first, last = sorted(random.integers(0, len(text) + 1, 2))
        last = min(int(last), int(first) + int(random.integers(0, 60)))
        piece, other = text[first:last], int(random.integers(0, len(text) + 1))
        kind = random.integers(0, 5)
        if kind == 0:
            text = text[:first] + text[last:]
        elif kind == 1:
            text = text[:other] + piece + text[other:]
        elif kind == 2:
            text = text[:first] + BITS[random.integers(len(BITS))] + text[last:]
        elif kind == 3:
            lines = text.split("\n")
            random.shuffle(lines)
            text = "\n".join(lines)
        else:
            text = text[:first] + piece[::-1] + text[last:]
    raw = bytearray(text, "utf-8")
    if raw and random.random() < 0.2:
        raw[random.integers(len(raw))] ^= 1 << int(random.integers(8))
    coding = random.random()
    return text.encode("utf-16") if coding < 0.05 else bytes(raw)


def read_many(job: Job, folder: Path, kind: str, count: int, seed: int) -> tuple[int, int]:
    """How many of so many damaged files were read, and how many refused."""
    random = np.random.default_rng(seed)
    path, sentences, read = folder / "readings", list[str](), 0
    for _ in range(count):
        raw = damaged(KINDS[kind], random)
        path.write_bytes(raw)
        try:
            found = read_sheet(path, job)[1]
        except InputProblem as problem:
            sentences.append(str(problem))
            continue
        values = np.concatenate([found.density, found.lab.ravel()])
        assert np.isfinite(values[~np.isnan(values)]).all(), raw
        read += 1
    assert all(str(path) in sentence and len(sentence) < 900 for sentence in sentences)
    return read, len(sentences)


@pytest.mark.parametrize("kind", KINDS)
def test_whole_files_are_read(job: Job, tmp_path: Path, kind: str) -> None:
    (tmp_path / "readings").write_text(KINDS[kind], encoding="utf-8")
    assert not np.isnan(read_sheet(tmp_path / "readings", job)[1].lab[0]).any()


@pytest.mark.parametrize("kind", KINDS)
def test_damaged_files_are_read_or_refused(job: Job, tmp_path: Path, kind: str) -> None:
    read, refused = read_many(job, tmp_path, kind, 150, 1)
    assert refused > 30
    assert read + refused == 150


@pytest.mark.long
@pytest.mark.parametrize("kind", KINDS)
def test_many_damaged_files_are_read_or_refused(job: Job, tmp_path: Path, kind: str) -> None:
    read, refused = read_many(job, tmp_path, kind, 20_000, 2)
    assert min(read, refused) > 200
