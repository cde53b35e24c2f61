"""Many jobs killed at any moment: each output is the former or the new one, whole.

The next call makes what is missing.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.faults.stopped_seasons import (
    StoppedSeason,
    kill_a_worker,
    kill_driver,
    press_ctrl_c,
)

STOPS = (kill_driver, kill_a_worker, press_ctrl_c)


@pytest.mark.long
@pytest.mark.parametrize("moments", [3, 100])
def test_outputs_are_whole_and_made_by_the_next_call(tmp_path: Path, moments: int) -> None:
    season = StoppedSeason(tmp_path, 2)
    wrong = []
    for number in range(moments):
        share = 0.35 + 0.65 * ((number * 0.618) % 1)  # before that libraries load
        found = season.stopped(share, "ab"[number % 2], STOPS[number % len(STOPS)])
        if found:
            wrong.append(f"{STOPS[number % len(STOPS)].__name__} at {share:.2f}: {found}")
    assert wrong == []
    assert season.mended("a") == ""
