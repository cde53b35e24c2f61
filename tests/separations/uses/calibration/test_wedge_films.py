"""The test sheet's films, counted with a renderer that did not write them."""

from __future__ import annotations

import csv
import hashlib
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.uses.calibration.calibration_run import make_wedge
from separations.uses.calibration.patches import Patch, sheet_patches
from separations.uses.calibration.register_marks import SQUARE_MM, register_marks
from separations.uses.calibration.sheet_marks import MARK_MM, NUMBER_COLUMNS, PLACE_COLUMNS
from separations.uses.calibration.wedge_films import PATCH_MM, wedge_sheet
from tests.small_art import write_small_job

Films = tuple[Path, tuple[Patch, ...], list[NDArray[np.bool_]]]


def sheet_width_mm(job_path: Path) -> float:
    job = read_job(job_path)
    return wedge_sheet(job, sheet_patches(job)).sheet.page_width_mm


def rendered(path: Path, dpi: float) -> NDArray[np.bool_]:
    """The film inside its bleed box, ink true."""
    with pypdfium2.PdfDocument(path) as document:
        page = document[0]
        # a hair less, or a page of whole pixels becomes one pixel taller and is stretched to it
        shown = page.render(scale=dpi / 72 * (1 - 1e-7), grayscale=True).to_pil()
        picture = np.asarray(shown) < 128
        left, bottom, right, top = (round(v * dpi / 72) for v in page.get_bleedbox())
    high = len(picture)
    return np.asarray(picture[high - top:high - bottom, left:right])


@pytest.fixture(scope="module")
def films(tmp_path_factory: pytest.TempPathFactory) -> Films:
    job_path = write_small_job(tmp_path_factory.mktemp("job"))
    out = job_path.parent / "wedge"
    names = make_wedge(job_path, out)
    assert names == ("wedge-01-Yellow.pdf", "wedge-02-Magenta.pdf", "wedge-03-Cyan.pdf",
                     "wedge-04-Black.pdf")
    patches = sheet_patches(read_job(job_path))
    return job_path, patches, [rendered(out / name, 600) for name in names]


def test_every_patch_holds_its_raw_film_tone_in_register(films: Films) -> None:
    job_path, patches, pictures = films
    laid = wedge_sheet(read_job(job_path), patches)
    grid = laid.sheet.art_grid
    assert {p.shape for p in pictures} == {(grid.rows, grid.columns)}
    covered = np.zeros(pictures[0].shape, np.bool_)
    for patch in patches:
        least_x, least_y, most_x, most_y = laid.bounds_mm(patch)
        box = (slice(round(grid.row_of(most_x)), round(grid.row_of(least_x))),
               slice(round(grid.column_of(most_y)), round(grid.column_of(least_y))))
        assert min(most_x - least_x, most_y - least_y) >= PATCH_MM
        assert not covered[box].any()
        covered[box] = True
        for picture, tone in zip(pictures, patch.tones, strict=True):
            share = picture[box].mean()
            if tone in (0.0, 1.0):
                assert share == tone, patch.name
            else:
                # a patch cuts cells at its edges
                assert share == pytest.approx(tone, abs=0.006), patch.name
    for row in range(patches[-1].row + 1):
        for column in (*PLACE_COLUMNS, *NUMBER_COLUMNS):
            right, down = laid.mark_mm(row, column)
            _, _, top_x, left_y = laid.sheet.trim_bounds_mm
            box = (slice(int(grid.row_of(top_x - down)),
                         int(grid.row_of(top_x - down - MARK_MM)) + 2),
                   slice(int(grid.column_of(left_y - right)),
                         int(grid.column_of(left_y - right - MARK_MM)) + 2))
            assert not covered[box].any()
            # the ink of the row's wedge prints the mark, the darkest those of overprints
            assert [picture[box].any() for picture in pictures] == [
                ink == min(row // 2, 3) for ink in range(4)]
            covered[box] = True
    for mark in register_marks(patches):
        right, down = laid.mark_mm(mark.row, mark.column)
        for over in range(2):
            for below in range(2):
                # the first ink prints one diagonal, the other ink the other, and nobody else
                left, top = right + 2.9 * over, down + 2.9 * below
                box = (slice(int(grid.row_of(top_x - top)),
                             int(grid.row_of(top_x - top - SQUARE_MM)) + 2),
                       slice(int(grid.column_of(left_y - left)),
                             int(grid.column_of(left_y - left - SQUARE_MM)) + 2))
                assert not covered[box].any()
                prints = 0 if over == below else mark.ink
                assert [picture[box].mean() > 0.85 for picture in pictures] == [
                    ink == prints for ink in range(4)]
                assert [picture[box].any() for picture in pictures] == [
                    ink == prints for ink in range(4)]
                covered[box] = True
    for picture in pictures[:3]:
        assert not picture[~covered].any(), "only the darkest ink letters the sheet"
    assert pictures[3][~covered].any()


def test_lettering_keeps_clear_of_patches_and_tells_them_apart(films: Films) -> None:
    job_path, patches, pictures = films
    laid = wedge_sheet(read_job(job_path), patches)
    grid, seen = laid.sheet.art_grid, set()
    for patch in patches:
        _, least_y, top_x, most_y = laid.bounds_mm(patch)
        rows = slice(round(grid.row_of(top_x + 3.6)), round(grid.row_of(top_x + 1.0)))
        columns = slice(round(grid.column_of(most_y)), round(grid.column_of(least_y)))
        letters = pictures[3][rows, columns]
        assert 0.03 < letters.mean() < 0.6, patch.name
        assert not pictures[3][rows.stop:round(grid.row_of(top_x)), columns].any()
        seen.add(np.packbits(letters).tobytes())
    assert len(seen) == len(patches)


def test_the_list_names_every_patch_and_all_overprints(films: Films) -> None:
    job_path, patches, _ = films
    raw = (job_path.parent / "wedge" / "patches.csv").read_text(encoding="utf-8-sig")
    rows = list(csv.DictReader(raw.splitlines()))
    assert [row["patch"] for row in rows] == [patch.name for patch in patches]
    inks = ("Yellow", "Magenta", "Cyan", "Black")
    solids = {frozenset(i for i in inks if row[f"{i} film %"] == "100") for row in rows
              if {row[f"{i} film %"] for i in inks} <= {"0", "100"}}
    assert len(solids) == 1 + 4 + 6 + 4 + 1
    for ink in inks:
        steps = {float(row[f"{ink} film %"]) for row in rows
                 if all(row[f"{other} film %"] == "0" for other in inks if other != ink)}
        assert steps >= {0, 2, 5, *range(10, 100, 10), 95, 98, 100}
    assert all(row["D"] == "" and row["L"] == "" for row in rows)


def test_the_same_job_gives_the_same_bytes(films: Films) -> None:
    job_path, _, _ = films
    again = job_path.parent / "again"
    make_wedge(job_path, again)
    for path in sorted(again.iterdir()):
        first = job_path.parent / "wedge" / path.name
        assert hashlib.sha256(path.read_bytes()).digest() == hashlib.sha256(
            first.read_bytes()).digest()


def test_no_room(small_job: Callable[..., Path], tmp_path: Path) -> None:
    need = sheet_width_mm(small_job())
    job = small_job(('resolution = "600 dpi"', 'resolution = "600 dpi"\nwidth = "20 cm"'))
    with pytest.raises(InputProblem) as caught:
        make_wedge(job, tmp_path / "out")
    assert caught.value.sentence == (f"{job}: film.width: found '20 cm'; at least "
                                     f"{math.ceil(need)} mm for the test sheet would do.")
    assert not (tmp_path / "out").exists()
