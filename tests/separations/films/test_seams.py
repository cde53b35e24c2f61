"""Seams: as few panels as fit, through quiet art, within the printer's size."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from separations.films.seams import panel_count, seams


def _ink(size_mm: float) -> np.ndarray:
    return np.full(int(size_mm) + 1, 0.5)


def test_one_panel_does_for_what_fits() -> None:
    assert panel_count(300.0, 300.0, 15.0) == 1
    assert seams(300.0, 300.0, 15.0, _ink(300.0)) == ()


def test_of_equal_places_the_middle_is_taken() -> None:
    assert seams(345.0, 199.0, 15.0, _ink(345.0)) in ((172,), (173,))


def test_a_quiet_place_wins_as_far_as_sizes_let_it() -> None:
    ink = _ink(300.0)
    ink[175:196] = 0.0
    assert seams(300.0, 199.0, 15.0, ink) == (183,)
    ink = _ink(300.0)
    ink[220:260] = 0.0  # beyond what the first panel can reach
    assert seams(300.0, 199.0, 15.0, ink) == (150,)


def test_lines_are_not_cut_where_there_is_a_way_round() -> None:
    ink = np.zeros(301)
    ink[145:160] = 4.0
    found = seams(300.0, 199.0, 15.0, ink)
    assert found is not None
    assert not ink[found[0] - 7:found[0] + 8].any()


@given(size=st.integers(120, 2000), most=st.integers(60, 600), overlap=st.sampled_from([10, 15]),
       seed=st.integers(0, 99))
def test_panels_fit_overlap_and_cover(size: int, most: int, overlap: int, seed: int) -> None:
    found = seams(size, most, overlap, np.random.default_rng(seed).random(size + 1))
    assert found is not None
    assert len(found) + 1 == panel_count(size, most, overlap)
    starts = [0.0, *(middle - overlap / 2 for middle in found)]
    ends = [*(middle + overlap / 2 for middle in found), size]
    for start, end in zip(starts, ends, strict=True):
        assert end - start <= most
        assert not found or end - start >= most / 2


@pytest.mark.parametrize("most", [20.0, 39.0])
def test_a_printer_that_is_hardly_more_than_the_overlap_will_not_do(most: float) -> None:
    assert panel_count(300.0, most, 15.0) == 0
    assert seams(300.0, most, 15.0, _ink(300.0)) is None
