"""The operator's sheet: its date, its picture in colour, its total, its cautions."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pikepdf
import pypdfium2
from fontTools.ttLib import TTFont

from preflight.findings import Grade, Place
from preflight.vector_art.lettering import SHIPPED_FONT
from separations.report.cautions import cautions_for
from separations.report.operator_sheet import operator_pdf
from tests.separations.report.conftest import Written


def test_its_date_is_the_jobs_and_its_bytes_stay(written: Written) -> None:
    path = written.folder / "operator.pdf"
    with pikepdf.open(path) as document:
        assert str(document.docinfo["/CreationDate"]) == "D:20261125"
        assert "2000" not in " ".join(str(value) for value in document.docinfo.values())
        assert document.open_metadata()["xmp:CreateDate"] == "2026-11-25"
    board = (written.folder / "proof.png").read_bytes()
    assert operator_pdf(written.outcome, board) == operator_pdf(written.outcome, board)


def test_it_ends_with_every_caution_of_the_job(written: Written) -> None:
    with pypdfium2.PdfDocument(written.folder / "operator.pdf") as document:
        text = " ".join(" ".join(page.get_textpage().get_text_bounded().split())
                        for page in document)
    for caution in cautions_for(written.outcome.submission.job.stage):
        assert caution.hazard in text
        assert caution.keep_in_mind[:30] in text


def test_greek_is_set_in_a_font_that_has_it(written: Written) -> None:
    care = next(f for f in written.outcome.findings if "ΔE00" in f.says)
    outcome = replace(written.outcome, findings=(replace(care, grade=Grade.CARE),))
    board = (written.folder / "proof.png").read_bytes()
    with pypdfium2.PdfDocument(operator_pdf(outcome, board)) as document:
        text = "".join(page.get_textpage().get_text_bounded() for page in document)
    assert "ΔE00" in text
    glyphs = TTFont(SHIPPED_FONT).getBestCmap()
    assert all(ord(letter) in glyphs for letter in care.says)
    with pikepdf.open(io.BytesIO(operator_pdf(outcome, board))) as pdf:
        names = {str(font.BaseFont) for page in pdf.pages
                 for font in page.Resources.Font.values()}
    assert any(name.endswith("+DejaVuSans") for name in names)


def test_what_to_mind_is_told_with_its_place(written: Written) -> None:
    place = Place(least_x_mm=30, least_y_mm=-25, greatest_x_mm=50, greatest_y_mm=-15)
    finding = written.outcome.findings[0]
    outcome = replace(written.outcome, findings=(
        replace(finding, grade=Grade.CARE, place=place),
        replace(finding, check="Elsewhere", grade=Grade.NOTE, place=place)))
    board = (written.folder / "proof.png").read_bytes()
    with pypdfium2.PdfDocument(operator_pdf(outcome, board)) as document:
        text = " ".join(document[0].get_textpage().get_text_bounded().split())
    assert "Where: 40 mm towards the nose, 20 mm right of the centre line." in text
    assert text.count("Where:") == 1
    assert "Elsewhere" not in text


def test_no_heading_is_left_alone_at_the_foot_and_stops_come_first(written: Written) -> None:
    """However much there is to say, a heading stands on the page of what it heads."""
    board = (written.folder / "proof.png").read_bytes()
    finding = replace(written.outcome.findings[0], grade=Grade.CARE)
    last = replace(finding, grade=Grade.STOP, check="The gravest")
    for number in range(6, 14):
        outcome = replace(written.outcome, findings=(*(finding,) * number, last))
        with pypdfium2.PdfDocument(operator_pdf(outcome, board)) as document:
            pages = [page.get_textpage().get_text_bounded().split("\n") for page in document]
            for page in document:
                words = page.get_textpage()
                foot = min(words.get_rect(k)[1] for k in range(words.count_rects()))
                assert foot > 10 / 25.4 * 72, "10 mm are left below"
        for page in pages:
            lines = [line.strip() for line in page if line.strip()]
            assert lines[-1] not in ("Print order", "Set up", "Before exposing", "Ink for the run",
                                     "Cautions"), number
        told = " ".join(" ".join(page) for page in pages)
        assert told.index("The gravest") < told.index(finding.check)


def test_the_cautions_stand_together_and_forced_stops_are_told(written: Written) -> None:
    board = (written.folder / "proof.png").read_bytes()
    assert written.outcome.films
    finding = replace(written.outcome.findings[0], grade=Grade.STOP)
    for number in (1, 12):
        outcome = replace(written.outcome, findings=(finding,) * number)
        with pypdfium2.PdfDocument(operator_pdf(outcome, board)) as document:
            pages = [" ".join(page.get_textpage().get_text_bounded().split())
                     for page in document]
        stops = "stop" if number == 1 else "stops"
        assert f"These films were made despite the {stops} below." in " ".join(pages)
        last = next(page for page in pages if "Cautions" in page)
        for caution in cautions_for(outcome.submission.job.stage):
            assert caution.hazard in last


def test_it_shows_the_print_in_colour_and_the_total(written: Written) -> None:
    with pypdfium2.PdfDocument(written.folder / "operator.pdf") as document:
        text = " ".join(" ".join(page.get_textpage().get_text_bounded().split())
                        for page in document)
        picture = np.asarray(document[0].render(scale=1.5).to_pil().convert("RGB"), int)
    upper = picture[:len(picture) // 2]
    coloured = np.ptp(upper, axis=2) > 12
    assert np.count_nonzero(coloured) > 0.05 * coloured.size
    total = written.figures["ink_total"]
    assert (f"All inks {total['board_g']['likely']:.1f} {total['run_g']['likely']:.0f} "
            f"{total['run_g']['low']:.0f} to {total['run_g']['high']:.0f} "
            f"{total['run_ml']['likely']:.0f} {total['tins']}") in text
    ink = written.figures["inks"][0]
    assert f"{ink['smallest_tone'] * 100:.1f} to {ink['largest_tone'] * 100:.1f} %" in text
