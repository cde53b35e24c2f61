"""The proof shows what the films hold: colours from tones, and from the films' own dots."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from separations.colour.colorimetry import colour_difference, lab_to_xyz, xyz_to_lab
from separations.colour.job_inks import whole_model
from separations.colour.print_model import predict_image_lab
from separations.films.film_contents import job_sheet
from separations.halftone.film_bands import film_bands
from separations.halftone.tone_levels import cell_pixels, count_cells, coverage_map, empty_counts
from tests.prepared_jobs import all_tones, contents_of, laid_out, separated
from tests.small_art import write_small_job


@pytest.mark.parametrize("small_dots", ["thin", "drop"])
def test_colours_of_tones_and_of_counted_dots_agree(tmp_path: Path, small_dots: str) -> None:
    """Mean ΔE00 within 1 over all cells of 2 mm, with a tone curve."""
    curve = 'ruling = "45 lpi"\ntone_curve = [[10, 12], [30, 37], [50, 61], [70, 82], [90, 96]]'
    job = write_small_job(tmp_path, ('ruling = "45 lpi"', curve),
                          ("[separation]", f'[separation]\nsmall_dots = "{small_dots}"'))
    laid = laid_out(job)
    separation = separated(laid)
    film = job_sheet(laid).art_grid
    shares = []
    for content in contents_of(laid, separation, ()).values():
        counts, row = empty_counts(film), 0
        for band in film_bands(content, rows_per_band=480):
            count_cells(band, row, cell_pixels(film), counts)
            row += len(band)
        shares.append(coverage_map(counts, film))
    model = whole_model(laid.job)
    from_dots = model.predict_lab(np.stack([s.share for s in shares], axis=-1))

    cells = shares[0].grid
    fine = cells.__class__(
        top_x_mm=cells.top_x_mm, left_y_mm=cells.left_y_mm, pixel_mm=cells.pixel_mm / 8,
        rows=cells.rows * 8, columns=cells.columns * 8)
    plane = separation.grid
    matrix = np.array([
        [fine.pixel_mm / plane.pixel_mm, 0, plane.column_of(fine.left_y_mm)
         + 0.5 * (fine.pixel_mm / plane.pixel_mm - 1)],
        [0, fine.pixel_mm / plane.pixel_mm, plane.row_of(fine.top_x_mm)
         + 0.5 * (fine.pixel_mm / plane.pixel_mm - 1)]])
    tones = np.stack([cv2.warpAffine(p, matrix, (fine.columns, fine.rows),
                                     flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
                                     borderMode=cv2.BORDER_REPLICATE)
                      for p in separation.planes])
    xyz = lab_to_xyz(predict_image_lab(tones, model))
    xyz = xyz.reshape(cells.rows, 8, cells.columns, 8, 3).mean(axis=(1, 3))
    inside = np.zeros((cells.rows, cells.columns), bool)
    inside[cells.rows // 4:-cells.rows // 4, 8:-8] = True  # well within the board
    apart = colour_difference(xyz_to_lab(xyz), from_dots)[inside]
    assert apart.mean() < 1.0
    assert np.percentile(apart, 95) < 2.5


def test_the_proof_tones_are_the_planes_on_a_coarser_grid(tmp_path: Path) -> None:
    laid = laid_out(write_small_job(tmp_path))
    separation = separated(laid)
    tones = all_tones(laid, separation, (), separation.grid)
    inside = cv2.erode(separation.inside.astype(np.uint8), np.ones((7, 7), np.uint8),
                       borderType=cv2.BORDER_CONSTANT, borderValue=(0.0,)) > 0
    for plane, drawn in zip(separation.planes, tones, strict=True):
        np.testing.assert_array_equal(plane[inside], drawn[inside])
