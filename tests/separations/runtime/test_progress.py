"""Progress is told at a pace, and of the end always."""

from __future__ import annotations

import pytest

from separations.runtime.progress import PacedProgress


def test_it_is_told_at_a_pace(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = iter((0.0, 0.01, 0.06, 0.07, 0.08))
    monkeypatch.setattr("separations.runtime.progress.time.monotonic", lambda: next(clock))
    told: list[tuple[int, int]] = []
    paced = PacedProgress(lambda done, rows: told.append((done, rows)), 50)
    for _ in range(5):
        paced.add(10)
    assert told == [(10, 50), (30, 50), (50, 50)]


def test_nobody_need_be_told() -> None:
    PacedProgress(None, 10).add(10)
