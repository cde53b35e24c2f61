"""One print of a small test sheet, made once."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.made_up_scans import PrintedSheet, printed_sheet, write_two_ink_job


@pytest.fixture(scope="session")
def scanned_job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_two_ink_job(tmp_path_factory.mktemp("scanned"))


@pytest.fixture(scope="session")
def printed(scanned_job: Path) -> PrintedSheet:
    return printed_sheet(scanned_job, scanned_job.parent / "wedge")
