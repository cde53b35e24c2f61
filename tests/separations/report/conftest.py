"""A whole run of a small job, with a finding pinned on its board and names that try to be code."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from separations.pipeline.calls import run_job
from separations.report.outcome import Outcome
from tests.small_art import write_small_job

EVIL = "<script>document.title='taken'</script><img src=x onerror=\\\"document.title='taken'\\\">"


#: Yellow is past its date, Cyan short and known by its colour, Magenta's amount not given; Black
#: is on no list.
SHELF = """name = "Shelf"
[[ink]]
name = "yellow"
colour = "process yellow"
grams = 9000
use_by = 2026-11-01
[[ink]]
name = "Process cyan"
colour = "process cyan"
grams = 100
[[ink]]
name = "Magenta"
colour = "process magenta"
"""


@dataclass(frozen=True)
class Written:
    """A run's folder and what it holds."""

    folder: Path
    outcome: Outcome
    page: str
    figures: dict[str, Any]


@pytest.fixture(scope="session")
def written(tmp_path_factory: pytest.TempPathFactory) -> Written:
    job = write_small_job(
        tmp_path_factory.mktemp("report"), ("boards = 3", 'boards = 3\nstock = "shelf.toml"'),
        ('"45 lpi"', '"30 lpi"'),
        ('"Marsh light"', f'"Marsh {EVIL}"'), ('name = "Cyan"', f'name = "Cyan {EVIL[:60]}"'),
        ('"Small plank"', '"Small & <b>plank</b>"'),
        ('file = "lines.png"\nkind = "line"\nink = "Black"\nturn = 90',
         'file = "lines.png"\nkind = "line"\nink = "Black"\nturn = 90\noffset_across = "40 mm"'))
    (job.parent / "shelf.toml").write_text(SHELF, encoding="utf-8")
    out = job.parent / "out"
    outcome = run_job(job, out)
    return Written(folder=out, outcome=outcome,
                   page=(out / "report.html").read_text(encoding="utf-8"),
                   figures=json.loads((out / "report.json").read_text(encoding="utf-8")))
