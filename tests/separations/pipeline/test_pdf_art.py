"""Jobs whose art is a PDF's pages."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from reportlab.pdfgen.canvas import Canvas

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from preflight.units import MM_PER_INCH
from separations.pipeline.calls import fine_session, quick_session
from separations.pipeline.stages import DRAWINGS, LAID_OUT, PHOTO_TONES, PHOTOS_PLACED
from tests.pdf_pages import changed, halves, spot, write_pdf
from tests.small_art import write_small_job


def lines(canvas: Canvas) -> None:
    canvas.setStrokeColor(spot("Night blue"))
    canvas.setLineWidth(6)
    canvas.line(100, 100, 700, 120)
    canvas.setFillColorRGB(1, 0, 0)
    canvas.rect(400, 20, 50, 50, fill=1, stroke=0)


def _trimmed(pdf: pikepdf.Pdf) -> None:
    pdf.pages[1].obj.TrimBox = [100, 20, 750, 208]


def pdf_job(folder: Path, *more: tuple[str, str]) -> Path:
    colours = 'colours = { "Night blue" = "Cyan", "#ff0000" = "Magenta" }'
    job = write_small_job(
        folder / "job", ('"photo.png"', '"art.pdf"\npage = 2'),
        ('file = "lines.png"\nkind = "line"\nink = "Black"',
         f'file = "lines.pdf"\nkind = "line"\n{colours}'), *more)
    changed(write_pdf(job.parent / "art.pdf", lambda _: None, halves), _trimmed)
    write_pdf(job.parent / "lines.pdf", lines)
    return job


def test_a_page_is_drawn_as_fine_as_the_ruling_can_use(tmp_path: Path) -> None:
    job = pdf_job(tmp_path)
    for ruling in ("45 lpi", "65 lpi"):
        job.write_text(job.read_text("utf-8").replace('ruling = "45 lpi"', f'ruling = "{ruling}"'),
                       encoding="utf-8")
        session = fine_session(job)
        (photo,), laid, tones = session.all_of(PHOTOS_PLACED, LAID_OUT, PHOTO_TONES)
        asked = 4.5 * float(ruling[:2])
        assert photo.placed.ppi == pytest.approx(asked, rel=2e-3)
        assert MM_PER_INCH / tones.grid.pixel_mm == pytest.approx(asked, rel=2e-3)
    assert "art.pdf: Page 2 of 2 is read to its crop box, 299.9 × 80.4 mm." in laid.remarks
    # The blue half lies on the left, the sand-coloured one on the right of the nose-up board.
    yellow, _, cyan = (np.asarray(tones.planes[n], float) for n in (0, 1, 2))
    middle = cyan.shape[0] // 2
    left, right = slice(cyan.shape[1] // 5, cyan.shape[1] // 3), slice(
        2 * cyan.shape[1] // 3, 4 * cyan.shape[1] // 5)
    assert cyan[middle, left].mean() > 2 * cyan[middle, right].mean()
    assert yellow[middle, right].mean() > 2 * yellow[middle, left].mean()


def test_a_page_s_colours_and_spots_go_to_inks(tmp_path: Path) -> None:
    drawn, told = quick_session(pdf_job(tmp_path)).of(DRAWINGS)
    assert {one.ink for one in drawn} == {"Cyan", "Magenta"}
    assert told == ("lines.pdf: Its page is read to its crop box, 299.9 × 80.4 mm.",)
    stroke = next(one.area for one in drawn if one.ink == "Cyan")
    assert stroke.area / (stroke.length / 2) == pytest.approx(
        next(one.area for one in drawn if one.ink == "Magenta").area ** 0.5 * 6 / 50, rel=0.02)


@pytest.mark.long
def test_an_edit_of_a_page_s_ruling_or_place_is_a_fresh_look(tmp_path: Path) -> None:
    job = read_job(pdf_job(tmp_path))
    session = quick_session(job)
    session.of(PHOTO_TONES)
    text = job.path.read_text("utf-8")
    for old, new in (('"45 lpi"', '"30 lpi"'), ("turn = 90", 'turn = 90\noffset_along = "9 mm"'),
                     ("page = 2", 'page = 2\npage_box = "trim box"'), ("page = 2", "page = 1")):
        text = text.replace(old, new, 1)
        job.path.write_text(text, encoding="utf-8")
        edited = read_job(job.path)
        session = session.changed(edited)
        kept, fresh = session.of(PHOTO_TONES), quick_session(edited).of(PHOTO_TONES)
        assert np.array_equal(kept.planes, fresh.planes)


@pytest.mark.parametrize(("old", "new", "says"), [
    ('"#ff0000"', '"Rust"', "art[2].colours: found no ink for #ff0000; an ink for each of "
                            "#ff0000 would do."),
    ("page = 2", "page = 3", "art.pdf: found no page 3 among 2; a page from 1 to 2 would do."),
    ("page = 2\n", "", "art.pdf: found 2 pages and no 'page' in the job; page = 1, up to 2"),
    ('"art.pdf"\npage', '"photo.png"\npage', "art[1].page: found 'page' on another kind of art; "
                                             "'page' on a PDF or TIFF only would do."),
    ("page = 2", 'page = 2\nplace = "scale"\nresolution = "300 ppi"',
     "art[1].resolution: found 'resolution' on another kind of art"),
    ("page = 2", 'page = 2\npage_box = "spine"', "art[1].page_box: found 'spine'"),
    ('"art.pdf"\npage = 2', '"photo.png"\npage_box = "trim box"',
     "art[1].page_box: found 'page_box' on another kind of art; 'page_box' on a PDF only"),
    ("page = 2", "page = 0", "art[1].page: found 0; the number of a page, from 1, would do.")])
def test_faults_name_the_key(tmp_path: Path, old: str, new: str, says: str) -> None:
    path = pdf_job(tmp_path, (old, new)) if old != '"#ff0000"' else pdf_job(tmp_path)
    if old == '"#ff0000"':
        path.write_text(path.read_text("utf-8").replace(old, new), encoding="utf-8")
    with pytest.raises(InputProblem) as caught:
        quick_session(read_job(path)).of(LAID_OUT)
    assert says in caught.value.sentence


def test_a_drawing_is_read_to_the_box_that_is_asked_for(tmp_path: Path) -> None:
    job = pdf_job(tmp_path, ('file = "lines.pdf"', 'file = "lines.pdf"\npage_box = "trim box"'))
    def boxes(pdf: pikepdf.Pdf) -> None:  # half as wide, and only the square's left half in it
        pdf.pages[0].obj.TrimBox = [0, 0, 425, 228]

    changed(job.parent / "lines.pdf", boxes)
    drawn, told = quick_session(job).of(DRAWINGS)
    assert told == ("lines.pdf: Its page is read to its trim box, 149.9 × 80.4 mm.",)
    square = next(one.area for one in drawn if one.ink == "Magenta")
    wide, high = sorted((square.bounds[2] - square.bounds[0], square.bounds[3] - square.bounds[1]))
    assert wide * 2 == pytest.approx(high, rel=1e-3)


def test_names_of_spot_colours_are_for_pdfs_alone(tmp_path: Path) -> None:
    path = pdf_job(tmp_path, ('"lines.pdf"', '"lines.svg"'))
    with pytest.raises(InputProblem, match="which only a PDF has"):
        read_job(path)


def test_line_work_may_be_a_flat(tmp_path: Path) -> None:
    job = read_job(pdf_job(tmp_path))
    flat = replace(job, art=(job.art[0], replace(job.art[1], kind="flat")))
    assert {one.kind for one in quick_session(flat).of(DRAWINGS)[0]} == {"flat"}
