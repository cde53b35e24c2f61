"""After a kill or a full disk the job and the history of the layout page are whole."""

from __future__ import annotations

import os
from collections import Counter

import pytest

from tests.faults.stopped_layouts import full_layouts, killed_layouts

MOMENTS = int(os.environ.get("TOPSHEET_MOMENTS", "4"))


@pytest.mark.long
def test_edits_that_were_told_outlive_the_server() -> None:
    found = Counter(killed_layouts(MOMENTS))
    assert set(found) <= {"amid edits", "just saved"}, found
    assert found.total() == MOMENTS


@pytest.mark.long
def test_a_full_disk_leaves_the_job_that_was_saved_last() -> None:
    found = Counter(full_layouts(MOMENTS))
    if not found:
        pytest.skip("no disk can be mounted here")
    assert set(found) <= {"saved up to a full disk", "all saved"}, found
