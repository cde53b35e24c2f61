"""What the mesh holds of a small job: film bits in windows, lines too thin, dots too small."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest

from preflight.facts.mesh_hold_facts import share_lost
from preflight.findings import Grade
from preflight.frames.tiled_plane import tiled
from separations.halftone.film_bands import dots_in
from separations.halftone.film_content import grid_of_four
from separations.halftone.screening import prepare as ready
from separations.measuring.hold.film_windows import FilmWindows, Window, line_bits
from separations.measuring.hold.halftone_hold import Tally
from separations.measuring.hold.line_scan import scan_lines
from separations.pipeline.prepared_job import PreparedJob
from separations.report.hold_map import hold_picture, loss_by_tone
from tests.prepared_jobs import prepare
from tests.small_art import small_lines

Write = Callable[..., Path]
FINE = (('"600 dpi"', '"1440 dpi"'),)


def grade_of(prepared: PreparedJob, check: str) -> Grade:
    return next(f.grade for f in prepared.findings if f.id == check)


@pytest.mark.parametrize("change", [
    (), (('"120/cm"', '"60/cm"'),), (("[area]", '[area]\nedge_dots = "whole"'),),
    (('ruling = "45 lpi"', 'ruling = "45 lpi"\ndot_shape = "square"'),)])
def test_windows_hold_the_films_own_bits(
    small_job: Write, change: tuple[tuple[str, str], ...]
) -> None:
    prepared = prepare(small_job(*change))
    grid = prepared.sheet.art_grid
    for content in prepared.contents:
        whole, shown = ready(content), FilmWindows(content)
        for row in range(300, grid.rows - 300, 1100):
            for column in range(100, grid.columns - 200, 437):
                window = Window(row, row + 90, column, column + 101)
                beside = 24 if content.whole_edge_dots else 0  # middles lie outside the window
                core = np.s_[beside:90 - beside, beside:101 - beside]
                want = dots_in(whole, row, row + 90, column, column + 101)
                assert np.array_equal(shown.bits(window)[core], want[core])


@pytest.mark.parametrize("solid", [False, True])
def test_windows_hold_the_line_work_alone(small_job: Write, solid: bool) -> None:
    prepared = prepare(small_job())
    grid = prepared.sheet.art_grid
    content = prepared.contents[3]
    plain = replace(content, tones=np.full((2, 2), 65_535 if solid else 0, np.uint16),
                    tone_grid=grid_of_four(grid), whole_edge_dots=False)
    whole = ready(plain)
    seen = 0
    for row in range(0, grid.rows - 90, 300):
        for column in range(0, grid.columns - 101, 313):
            want = dots_in(whole, row, row + 90, column, column + 101)
            bits = line_bits(content, Window(row, row + 90, column, column + 101), solid=solid)
            assert np.array_equal(bits, want)
            seen += 0 < want.mean() < 1
    assert seen > 5


def test_a_line_too_thin_for_the_mesh_is_found_at_its_place(small_job: Write) -> None:
    path = small_job(*FINE)
    drawing = small_lines()
    drawing[100, 400:640] = 0  # about 0.13 mm: three threads of 34 µm, not of 64 µm
    cv2.imwrite(str(path.parent / "lines.png"), drawing)
    good = prepare(path)
    text = path.read_text(encoding="utf-8").replace('"120/cm"', '"62/cm"').replace(
        '"34 um"', '"64 um"')
    path.write_text(text, encoding="utf-8")
    thin = prepare(path)
    finding = next(f for f in thin.findings if f.id == "lines-on-film")
    assert finding.grade is Grade.CARE
    pixel_mm = thin.laid.art[1].placed.ppi
    length_mm = 240 * 25.4 / pixel_mm
    assert finding.measured.value == pytest.approx(length_mm, rel=0.15)
    assert finding.place is not None
    x, y = finding.place.centre_mm
    # The drawing is turned by 90°: its columns run along the board, its rows across it.
    mm = 25.4 / pixel_mm
    assert abs(x - (520 - 1240) * mm) < 130 * mm
    assert abs(abs(y) - (360 - 100) * mm) < 1.0
    line = next(h for h in thin.hold.facts.lines if h.kind == "line")
    assert line.narrowest_um is not None
    assert line.narrowest_um == pytest.approx(1000 * mm, abs=20)
    assert grade_of(good, "lines-on-film") is Grade.CLEAR
    picture = hold_picture(thin.hold, thin.laid, thin.separation)
    assert picture is not None
    assert hold_picture(good.hold, good.laid, good.separation) is None


def test_dots_smaller_than_the_mesh_holds_are_counted(small_job: Write) -> None:
    fits = prepare(small_job(*FINE))
    assert grade_of(fits, "dots-on-film") is Grade.CLEAR
    absurd = prepare(small_job(
        *FINE, ('"120/cm"', '"30/cm"'), ('"34 um"', '"120 um"'),
        ('ruling = "45 lpi"', 'ruling = "45 lpi"\nsmallest_tone = "1 %"\nlargest_tone = "99 %"'),
        ("[separation]", '[separation]\nsmall_dots = "hold"')))
    lost = [f for f in absurd.findings
            if f.id == "dots-on-film" and f.grade is not Grade.CLEAR]
    assert lost
    for finding in lost:
        assert finding.place is not None
        assert finding.mend
    ink = absurd.hold.facts.inks[0]
    assert 0 < ink.dots.lost <= ink.dots.seen
    assert ink.dots.worst_tone_lost < 0.5


def test_a_quick_look_measures_no_lines(small_job: Write) -> None:
    quick = prepare(small_job(), finest_ppi=72)
    assert quick.hold.facts.inks
    assert not quick.hold.facts.lines


def test_the_scan_finds_fine_lines_gaps_and_what_the_film_drops() -> None:
    cover = np.zeros((300, 300), np.uint8)
    cover[20:24, 20:280] = 255
    cover[100:160, 100:160] = 255
    cover[128:131, 100:160] = 0
    cover[250, 40:200] = 100            # paler than half: not on the film
    cover[135:155, 110] = 140           # more than half: the film fills it
    seen = scan_lines(tiled(cover), 6.0, 50)
    assert seen.line_px[0, 2] == pytest.approx(4, abs=0.3)
    assert seen.gap_px[2, 2] == pytest.approx(3, abs=0.3)
    assert np.isinf(seen.gap_px[0]).all()
    assert seen.faint[5].sum() >= 1
    assert seen.faint[2:4, 2].sum() == pytest.approx(20, abs=4)


def test_the_share_lost_falls_from_a_thread_to_what_is_held() -> None:
    assert share_lost(30, 34, 83) == 1
    assert share_lost(83, 34, 83) == 0
    assert share_lost(58.5, 34, 83) == pytest.approx(0.5)
    assert share_lost(1000, 34, 30) == 0


def test_losses_are_laid_out_by_tone() -> None:
    tally = Tally(tone=np.array([0.02, 0.02, 0.5, 0.0]), lost=np.array([0.01, 0.02, 0.0, 0.0]))
    lost = loss_by_tone(tally, np.array([0.0, 0.02, 0.26, 0.5, 1.0], np.float32))
    assert lost == pytest.approx([0, 0.015, 0.0075, 0, 0], abs=1e-6)
