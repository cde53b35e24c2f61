"""Progress is told at a pace, and of the end always."""

from __future__ import annotations

import pytest

from separations.films.progress import PacedProgress, SharedProgress


def test_it_is_told_at_a_pace(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = iter((0.0, 0.01, 0.06, 0.07, 0.08))
    monkeypatch.setattr("separations.films.progress.time.monotonic", lambda: next(clock))
    told: list[tuple[int, int]] = []
    paced = PacedProgress(lambda done, rows: told.append((done, rows)), 50)
    for _ in range(5):
        paced.add(10)
    assert told == [(10, 50), (30, 50), (50, 50)]


def test_nobody_need_be_told() -> None:
    PacedProgress(None, 10).add(10)


def test_parts_done_beside_each_other_add_up() -> None:
    told: list[tuple[int, int]] = []
    shared = SharedProgress(lambda done, of: told.append((done, of)), 4, 1000)
    first, second = shared.part(0), shared.part(2)
    assert first is not None
    assert second is not None
    for tell, done, of in ((first, 10, 50), (second, 1, 4), (first, 50, 50), (second, 3, 4)):
        tell(done, of)
    assert told == [(200, 4000), (450, 4000), (1250, 4000), (1750, 4000)]


def test_no_part_is_told_of_to_nobody() -> None:
    assert SharedProgress(None, 2, 10).part(1) is None
