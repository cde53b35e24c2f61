"""Files of ink and wood spectra: read alike in each format, refused with a sentence each."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from separations.colour.ink_spectra import ink_spectra, wood_spectrum
from tests.spectral_inks import WOOD, ink_rows, write_cgats, write_csv, write_cxf


@pytest.mark.parametrize("write", [write_csv, write_cgats, write_cxf])
def test_each_format_holds_the_same(tmp_path: Path, write: Callable[..., Path]) -> None:
    rows = ink_rows("Magenta")
    found = ink_spectra(write(tmp_path / "ink", rows))
    for name, row in rows.items():
        band = getattr(found, name.replace(" ", "_"))
        np.testing.assert_allclose(band[4:35], row, atol=1e-6)
        np.testing.assert_allclose(band[:4], row[0], atol=1e-6)
        np.testing.assert_allclose(band[35:], row[-1], atol=1e-6)


def test_percent_are_known_and_a_cards_black_may_be_left_out(tmp_path: Path) -> None:
    rows = ink_rows("Cyan")
    del rows["black"]
    found = ink_spectra(write_csv(tmp_path / "ink", rows, 100.0))
    np.testing.assert_allclose(found.over_white[4:35], rows["over white"], atol=1e-6)
    assert not found.black.any()


def test_names_may_be_written_with_underlines(tmp_path: Path) -> None:
    rows = {name.replace(" ", "_").upper(): row for name, row in ink_rows("Cyan").items()}
    assert ink_spectra(write_csv(tmp_path / "ink", rows)).white.max() > 0.8


def test_a_changed_file_is_read_anew(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "wood.csv", {"wood": WOOD})
    before = wood_spectrum(path)
    write_csv(path, {"wood": 0.9 * WOOD})
    np.testing.assert_allclose(wood_spectrum(path), 0.9 * before, atol=1e-5)


def of_cyan(change: Callable[[dict[str, np.ndarray]], object]) -> str:
    rows = ink_rows("Cyan")
    change(rows)
    lines = ["patch," + ",".join(f"nm{wave}" for wave in range(400, 701, 10))]
    lines += [",".join([name, *(f"{v:.5f}" for v in row)]) for name, row in rows.items()]
    return "\n".join(lines) + "\n"


CYAN = of_cyan(dict)


@pytest.mark.parametrize(("text", "says"), [
    (of_cyan(lambda rows: rows.pop("over black")), "found no row 'over black'"),
    (of_cyan(lambda rows: rows.pop("white")), "found no row 'white'"),
    (of_cyan(lambda rows: rows.update({"over red": rows["white"]})), "found the row 'over red'"),
    (of_cyan(lambda rows: rows.update({"White": rows["white"]})), "'white' a second time"),
    (of_cyan(lambda rows: rows.update({"white": rows["black"]})), "a reflectance of 4 % at most"),
    (of_cyan(lambda rows: rows.update({"over black": rows["white"]})),
     "lighter over black than over white"),
    ("patch,L,a,b\nwhite,95,0,-2\n", "no spectrum"),
    (CYAN.replace("nm550,", "nm555,"), "31 wavelengths from 400 to 700 nm"),
    (CYAN.replace("nm400,", "nm390,"), "31 wavelengths from 390 to 700 nm"),
    ("patch,nm400,nm500,nm600,nm700\nwhite,1,1,1,1\n", "4 wavelengths"),
    (CYAN.replace("over white,0.", "over white,x0."), "found 'x0."),
    ("patch,nm400\n", "no rows"), ("", "an empty table"),
    ('<!DOCTYPE x [<!ENTITY a "aa"><!ENTITY b "&a;&a;">]><CxF>&b;</CxF>',
     "entities or a document type"),
    ('<CxF xmlns="http://colorexchangeformat.com/CxF2-core"/>', "a document <CxF> of")])
def test_faults(tmp_path: Path, text: str, says: str) -> None:
    path = tmp_path / "ink.csv"
    path.write_text(text)
    with pytest.raises(InputProblem) as found:
        ink_spectra(path)
    assert says in found.value.sentence
    assert str(path) in found.value.sentence


def test_wood_has_one_row(tmp_path: Path) -> None:
    with pytest.raises(InputProblem, match="one row called 'wood'"):
        wood_spectrum(write_csv(tmp_path / "wood.csv", ink_rows("Cyan")))
