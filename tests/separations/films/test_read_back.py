"""Reading back: a film that is not what was screened is refused and taken away."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from separations.films import read_back as reading
from separations.films.film_label import FilmLabel
from separations.films.film_pdf import write_film
from separations.films.film_record import Coding, FilmRecord
from separations.films.film_sheet import FilmSheet
from separations.films.read_back import FilmReadBackError, make_film, read_back
from separations.halftone.film_content import FilmContent

BuildSheet = Callable[..., FilmSheet]
BuildFilm = Callable[..., FilmContent]


def _with_other_bytes(record: FilmRecord, data: bytes) -> FilmRecord:
    """The record as if these bytes had been meant."""
    record.path.write_bytes(data)
    return replace(record, sha256=reading._sha256(record.path))


def test_a_right_film_is_kept(tmp_path: Path, small_sheet: BuildSheet, small_film: BuildFilm,
                              label: FilmLabel) -> None:
    sheet = small_sheet()
    record = make_film(tmp_path / "film.pdf", small_film(sheet), sheet, label)
    assert record.path.is_file()


def test_a_file_changed_on_disk_is_refused(tmp_path: Path, small_sheet: BuildSheet,
                                           small_film: BuildFilm, label: FilmLabel) -> None:
    sheet = small_sheet()
    content = small_film(sheet)
    record = write_film(tmp_path / "film.pdf", content, sheet, label)
    record.path.write_bytes(record.path.read_bytes() + b"\n")
    with pytest.raises(FilmReadBackError, match="is not what was written"):
        read_back(record, content, sheet)


@pytest.mark.parametrize("coding", ["group4", "deflate"])
def test_one_wrong_bit_of_a_stream_is_refused(
        tmp_path: Path, small_sheet: BuildSheet, small_film: BuildFilm, label: FilmLabel,
        coding: Coding) -> None:
    sheet = small_sheet()
    content = small_film(sheet)
    record = write_film(tmp_path / "film.pdf", content, sheet, label, coding=coding)
    data = bytearray(record.path.read_bytes())
    found = re.search(rb"/Width \d+ /Height \d+ /ColorSpace /DeviceGray.*?stream\n", data,
                      re.DOTALL)
    assert found is not None
    data[found.end() + 40_000] ^= 0x08
    broken = _with_other_bytes(record, bytes(data))
    with pytest.raises(FilmReadBackError):
        read_back(broken, content, sheet)


def test_other_dots_than_were_screened_are_refused_by_rendering_alone(
        tmp_path: Path, small_sheet: BuildSheet, small_film: BuildFilm, label: FilmLabel) -> None:
    sheet = small_sheet()
    record = write_film(tmp_path / "film.pdf", small_film(sheet), sheet, label)
    with pytest.raises(FilmReadBackError, match="differing pixels"):
        read_back(record, small_film(sheet, angle_deg=22.6), sheet, whole=False)


def test_a_page_of_another_size_is_refused(tmp_path: Path, small_sheet: BuildSheet,
                                           small_film: BuildFilm, label: FilmLabel) -> None:
    sheet = small_sheet()
    content = small_film(sheet)
    record = write_film(tmp_path / "film.pdf", content, sheet, label)
    data = record.path.read_bytes()
    media = re.search(rb"/MediaBox \[ \S+ \S+ (\d+)", data)
    assert media is not None
    wider = b"%0*d" % (len(media[1]), int(media[1]) + 1)
    broken = _with_other_bytes(record, data[:media.start(1)] + wider + data[media.end(1):])
    with pytest.raises(FilmReadBackError, match="page is off"):
        read_back(broken, content, sheet)


def test_a_wrong_film_is_taken_away(tmp_path: Path, small_sheet: BuildSheet,
                                    small_film: BuildFilm, label: FilmLabel,
                                    monkeypatch: pytest.MonkeyPatch) -> None:
    def other_code(packed: np.ndarray, above: np.ndarray, columns: int) -> object:
        return code_rows(packed[::-1], above, columns)

    from separations.films.group4 import code_rows

    monkeypatch.setattr("separations.films.film_images.code_rows", other_code)
    sheet = small_sheet()
    with pytest.raises(FilmReadBackError):
        make_film(tmp_path / "film.pdf", small_film(sheet), sheet, label)
    assert not (tmp_path / "film.pdf").exists()
