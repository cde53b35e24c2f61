"""Results of made-up jobs, each with an output folder that holds a board to look at."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from separations.uses.season.job_result import JobFinding, JobResult, JobScreen, job_not_made

_COLOURS = {"Black": (20, 20, 20), "Cyan": (0, 110, 130), "Heather": (150, 80, 140)}


def screen(ink: str, grams: float, mesh: float = 120, ruling: float = 18) -> JobScreen:
    return JobScreen(
        ink=ink, colour=f"process {ink.lower()}" if ink != "Heather" else None, prints="photo",
        ruling=f"{ruling:g} l/cm", ruling_lpcm=ruling, angle_deg=22.5, mesh=f"{mesh:g}/cm",
        threads_per_cm=mesh, thread="34 µm", thread_um=34, solid_srgb=_COLOURS[ink],
        run_g=(grams / 2, grams, 2 * grams))


def finding(grade: str, says: str) -> JobFinding:
    assert grade in ("stop", "care", "note")
    return JobFinding(id="edge", grade=grade, check="Edge", subject="lines.png",  # type: ignore[arg-type]
                      says=says)


def result(place: Path, title: str, boards: int, screens: tuple[JobScreen, ...],
           *findings: JobFinding) -> JobResult:
    stem = title.split()[0].lower()
    out = place / "winter" / f"{stem}-out"
    out.mkdir(parents=True)
    Image.new("RGB", (1500, 300), screens[0].solid_srgb).save(out / "proof.png")
    (out / "report.html").write_text("<title>A report</title>", encoding="utf-8")
    stops = any(f.grade == "stop" for f in findings)
    return JobResult(
        job=str(place / "winter" / f"{stem}.toml"), out=str(out), state="made",
        status=int(stops), made_of="0" * 32, title=title, board="Small plank", boards=boards,
        films=0 if stops else len(screens), films_withheld=stops, findings=findings,
        screens=screens, seconds=3.0, peak_mib=400)


@pytest.fixture
def results(tmp_path: Path) -> tuple[JobResult, ...]:
    """Two jobs alike in inks and screens, one of its own with a stop, and one that was not made."""
    return (
        result(tmp_path, "Tern & <tide>", 4, (screen("Cyan", 300), screen("Black", 100)),
               finding("care", "It lies near the edge."), finding("note", "Good to know.")),
        result(tmp_path, "Alder carr", 30, (screen("Cyan", 500), screen("Black", 50))),
        result(tmp_path, "Reed bed", 9, (screen("Heather", 70, mesh=100, ruling=20),
                                         screen("Black", 60)),
               finding("stop", "It lies past the edge.")),
        job_not_made(tmp_path / "winter" / "dune.toml", tmp_path / "winter" / "dune-out", 2,
                     "dune.toml: found nothing; a title would do."))
