"""Driver, workers and scheduler killed at any moment: no output is lost or mixed."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.dask_processes import with_dask
from tests.faults.stopped_clusters import StoppedCluster

#: Of ten kills: four of the driver, four of workers, two of the scheduler.
ORDER = ("driver", "worker", "driver", "worker", "scheduler") * 2


@with_dask
@pytest.mark.long
@pytest.mark.parametrize("kills", [10, 100])
def test_no_output_is_lost_or_mixed(tmp_path: Path, kills: int) -> None:
    """A call whose worker or scheduler is killed makes all; one after a killed driver, too."""
    cluster = StoppedCluster(tmp_path, 2)
    wrong = []
    try:
        for number in range(kills):
            which = ORDER[number % len(ORDER)]
            share = 0.2 + 0.8 * ((number * 0.618) % 1)  # before that libraries load
            found = cluster.killed(which, share, "ab"[number % 2])
            if found:
                wrong.append(f"{number}: {which} at {share:.2f}: {found}")
        assert wrong == []
        assert cluster.season.mended("b") == ""
    finally:
        cluster.dask.end()
