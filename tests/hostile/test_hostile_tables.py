"""Job files and other tables that are huge, deep, odd or full of numbers that are none."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.colour.press_profile_file import read_press_profile
from separations.stock.ink_stock import read_stock
from separations.uses.calibration.sheet_by_tones import read_sheet
from separations.uses.calibration.weighed_ink import read_weighings
from tests.small_art import SMALL_JOB, write_small_job

Write = Callable[..., Path]
READERS = (read_job, read_stock, read_press_profile)
TOMLS = {
    "100-mb": b"#" * 100_000_000, "one-line": b'title = "' + b"a" * 900_000 + b'"',
    "deep-lists": b"a = " + b"[" * 10_000 + b"]" * 10_000,
    "deep-tables": b"a = " + b"{a=" * 10_000 + b"1" + b"}" * 10_000,
    "dotted": b".".join([b"a"] * 10_000) + b" = 1",
    "heads": b"\n".join(b"[" + b".".join([b"a"] * n) + b"]" for n in range(1, 900)),
    "keys": b"\n".join(b"k%d = 1" % n for n in range(80_000)),
    "many-inks": SMALL_JOB.encode() + b'[[ink]]\nname = "x"\nangle = 1\n' * 20_000,
    "number": b"boards = " + b"9" * 900_000, "digits": b"a = 1" + b"_1" * 400_000,
    "hex": b"title = 0x" + b"f" * 900_000, "long": b"a = [" + b"0x" + b"f" * 90_000 + b"]",
    "float": b"a = 1e" + b"9" * 900_000, "utf16": SMALL_JOB.encode("utf-16"),
    "latin": SMALL_JOB.replace("°", "é").encode("latin-1"), "nulls": bytes(5000),
    "text": b"\xef\xbb\xbf\xef\xbb\xbftitle = 1", "nothing": b"", "cut": SMALL_JOB.encode()[:-7],
    "date": b"date = 9999-99-99", "escape": b'title = "\\ud800"', "binary": bytes(range(256)) * 99,
}


@pytest.mark.parametrize("name", TOMLS)
def test_every_toml_reader(tmp_path: Path, name: str) -> None:
    path = tmp_path / "a.toml"
    path.write_bytes(TOMLS[name])
    for read in READERS:
        began = time.process_time()
        with pytest.raises(InputProblem) as caught:
            read(path)
        assert len(caught.value.sentence) < 900 + len(str(path)), caught.value.sentence[:2000]
        assert time.process_time() - began < 20


@pytest.mark.parametrize("number", [
    "nan", "inf", "-inf", '"nan mm"', '"1e999 mm"', '"-1 mm"', '"0x10 mm"', "true", "[]", "{}",
    '""', '" "', '"mm"', '"10"', '"10 parsec"', '"1,5,5 mm"', '"٣ mm"', '"1e400"', "1e308",
    "99999999999999999999999999", "1" + "0" * 400, "0x" + "f" * 10_000, '"1' + "0" * 400 + ' mm"',
    "1979-05-27", '"' + "9" * 100_000 + ' mm"'])
@pytest.mark.parametrize("key", [
    'length = "30 cm"', 'bleed = "5 mm"', 'ruling = "45 lpi"', 'count = "120/cm"',
    'thread = "34 um"', 'resolution = "600 dpi"', 'inside_length = "60 cm"', "boards = 3"])
def test_numbers_that_are_none(small_job: Write, key: str, number: str) -> None:
    name = key.split(" = ")[0]
    if (name, number) == ("boards", "x"):
        return
    with pytest.raises(InputProblem) as caught:
        read_job(small_job((key, f"{name} = {number}")))
    assert name in caught.value.sentence or "far too many digits" in caught.value.sentence
    assert len(caught.value.sentence) < 700


@pytest.mark.parametrize("number", ["nan", "inf", "-inf", "1e308", "1" + "0" * 400])
@pytest.mark.parametrize("key", ["angle = 7.5", "turn = 90"])
def test_angles_that_are_none(small_job: Write, key: str, number: str) -> None:
    with pytest.raises(InputProblem):
        read_job(small_job((key, f"{key.split()[0]} = {number}")))


CSVS = {
    "empty": b"", "head": b"patch,D\n", "5-mb": b"patch,D\n" + b"A1,1\n" * 1_000_000,
    "nan": b"patch,D\nA1,nan\n", "inf": b"patch,D\nA1,inf\n", "huge": b"patch,D\nA1,1e999\n",
    "under": b"patch,D\nA1,1_0\n", "quote": b'patch,D\n"A1,1\n' + b"A2,1\n" * 50_000,
    "field": b"patch,D\nA1," + b"1" * 200_000 + b"\n", "columns": b"patch" + b",D" * 100_000,
    "nulls": b"patch,D\nA1,\x00\n", "utf-16": "patch,D\nA1,x\n".encode("utf-16"),
    "cut-utf-16": "patch,D\nA1,1\n".encode("utf-16")[:-1], "binary": bytes(range(256)) * 40,
    "twice": b"patch,D\nA1,1\nA1,1\n", "formula": b"patch,D\nA1,=1+1\n",
    "dots": b"patch;D\nA1;1.234.567\n", "heads": b"patch,patch,D,D\nA1,A2,1,2\n",
}


@pytest.mark.parametrize("name", CSVS)
def test_every_csv_reader(tmp_path: Path, name: str) -> None:
    job = read_job(write_small_job(tmp_path / "job"))
    path = tmp_path / "a.csv"
    path.write_bytes(CSVS[name])
    for read in (lambda: read_sheet(path, job)[1],
                 lambda: read_weighings(path, job)):
        with pytest.raises(InputProblem) as caught:
            read()
        assert len(caught.value.sentence) < 900


@pytest.mark.parametrize(("mark", "text"), [
    (",", "ink,boards,grams used\nCyan,3,41.5\n"), (";", "ink;boards;grams used\nCyan;3;41,5\n"),
    ("\t", "ink\tboards\tgrams used\nCyan\t3\t41,5\n")])
@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "utf-16"])
def test_weighed_ink_as_spreadsheets_save_it(
    tmp_path: Path, mark: str, text: str, coding: str
) -> None:
    assert mark in text
    job = read_job(write_small_job(tmp_path / "job"))
    path = tmp_path / "w.csv"
    path.write_bytes(text.replace("\n", "\r\n").encode(coding))
    (weighing,) = read_weighings(path, job)
    assert (weighing.ink, weighing.boards, weighing.used_g) == ("Cyan", 3, 41.5)


@pytest.mark.parametrize("key", [
    "density = {}", "over_white = [{}, 0, 0]", "over_white = [50, {}, 0]", "opacity = {}",
    "left_in_screen = {}", "tone_curve = [[{}, 5]]", "tone_curve = [[5, {}]]", "choke = {}"])
@pytest.mark.parametrize("number", ["nan", "inf", "1" + "0" * 400, "0x" + "f" * 9000, "{}"])
def test_figures_of_an_ink(small_job: Write, key: str, number: str) -> None:
    line = f'name = "Cyan"\n{key.format(number)}'
    with pytest.raises(InputProblem):
        read_job(small_job(('name = "Cyan"', line)))
