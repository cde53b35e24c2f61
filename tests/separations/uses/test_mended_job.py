"""check --mend: a new file beside the job's own, its findings before and after, and refusals."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from preflight.findings import Finding, Grade
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from preflight.mends.proposals import proposed_mends
from preflight.mends.raised_cares import raised_cares
from separations.command_line import topsheet
from separations.pipeline.calls import check_job
from separations.pipeline.session import Session
from separations.report.outcome import Outcome
from separations.uses.mended_job import mend_job

Write = Callable[..., Path]
BAD = (('ruling = "45 lpi"', 'ruling = "110 lpi"   # as fine as can be'),
       ("angle = 22.5", "angle = 45 # the artist's wish"),
       ('file = "photo.png"\nturn = 90', 'file = "photo.png"\nturn = 90   # right end at the nose\n'
        'place = "scale"\nwidth = "30.5 cm"'))


def test_angle_ruling_and_bleed_are_mended_and_the_findings_go(small_job: Write) -> None:
    job = small_job(*BAD)
    text = job.read_bytes()
    mended = mend_job(job, job.with_name("better.toml"))
    assert {m.key_told for m in mended.mends} == {
        "halftone.ruling", "ink[3].angle", "art[1].fill_edges"}
    assert job.read_bytes() == text
    faults = {f.id for f in mended.findings if f.grade not in (Grade.CLEAR, Grade.NOTE)}
    assert not faults & {"art-covers-bleed", "angle-to-mesh", "mesh-for-ruling", "tone-steps"}
    again = read_job(job.with_name("better.toml"))
    assert again.art[0].fill_edges
    assert again.ink[2].angle.deg == 22.5
    new_text = job.with_name("better.toml").read_text(encoding="utf-8")
    for words in ("# as fine as can be (mended", "# right end at the nose", "the artist's wish"):
        assert words in new_text
    assert check_job(job.with_name("better.toml")).findings == mended.findings


def test_the_command_tells_what_it_changed_and_counts_what_stays(small_job: Write) -> None:
    job = small_job(*BAD)
    said = CliRunner().invoke(topsheet, ["check", "--mend", str(job)])
    assert said.exit_code == 0
    lines = said.output.splitlines()
    changed = [line for line in lines if line.startswith("mended  ")]
    assert "mended  ink[3].angle (Cyan): 45 -> 22.5" in changed
    assert any(line.startswith('mended  halftone.ruling: "110 lpi" -> ') for line in changed)
    assert "mended  art[1].fill_edges (photo.png): left out -> true" in changed
    assert lines[2 * len(changed)].startswith("Wrote ")  # after each change and why
    grave = [line for line in lines if line.startswith(("stop ", "care "))]
    assert not any(line.startswith("note ") for line in lines)
    told = re.fullmatch(r"Left to you: (\d) cares?, \d notes \(topsheet check "
                        r".*marsh-mended.toml lists all\)\.", lines[-1])
    assert told
    assert len(grave) == int(told[1]) > 0
    assert job.with_name("marsh-mended.toml").is_file()


def test_nothing_to_mend_writes_nothing(small_job: Write) -> None:
    job = small_job(("140 °C", "30 °C"))
    before = sorted(job.parent.iterdir())
    said = CliRunner().invoke(topsheet, ["check", "--mend", str(job)])
    assert "Nothing here can safely be mended by machine; nothing was written." in said.output
    assert "Left to you: 1 stop, " in said.output
    assert said.exit_code == 1
    assert sorted(job.parent.iterdir()) == before


@pytest.mark.parametrize("taken", ["marsh.toml", "photo.png", "link.toml"])
def test_no_file_is_overwritten(small_job: Write, taken: str) -> None:
    job = small_job(*BAD)
    (job.parent / "link.toml").symlink_to("nowhere.toml")
    held = {p.name: p.read_bytes() for p in job.parent.iterdir() if p.exists()}
    with pytest.raises(InputProblem, match="there already; the name of a new file"):
        mend_job(job, job.with_name(taken))
    assert {p.name: p.read_bytes() for p in job.parent.iterdir() if p.exists()} == held


def two_inks(small_job: Write) -> Path:
    """Yellow at 22.5 and black at 45°, at 85 lpi: 37.5 keeps the angles but beats with the mesh."""
    job = small_job(('"45 lpi"', '"85 lpi"'), ('"600 dpi"', '"1440 dpi"'),
                    ("angle = 22.5", "angle = 60"), ("angle = 7.5", "angle = 22.5"),
                    ("angle = 52.5", "angle = 45"))
    text = job.read_text(encoding="utf-8")
    magenta, black = text.index('[[ink]]\nname = "Magenta"'), text.index('[[ink]]\nname = "Black"')
    job.write_text(text[:magenta] + text[black:], encoding="utf-8")
    return job


def test_an_angle_that_raises_another_care_gives_way_to_the_next(small_job: Write) -> None:
    job = two_inks(small_job)
    first, = proposed_mends(check_job(job).submission)
    mended = mend_job(job, job.with_name("better.toml"))
    turned, = mended.mends
    assert (first.key_told, turned.key_told) == ("ink[2].angle", "ink[2].angle")
    assert turned.after != first.after == 37.5
    assert raised_cares(check_job(job).findings, mended.findings) == {}
    text = job.with_name("better.toml").read_text(encoding="utf-8")
    assert text.count("# mended") == 1
    assert "clear of" not in text


def care_of(outcome: Outcome, *inks: str, grade: Grade = Grade.CARE) -> Finding:
    return replace(outcome.findings[0], id="heat", check="Beat", subjects=inks,
                   subject=", ".join(inks), grade=grade)


def test_what_raises_a_care_whatever_is_tried_is_left_alone(
    small_job: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = small_job(*BAD)
    asked: list[Path] = []
    first = check_job(job)

    def beating(session: Session) -> Outcome:
        asked.append(session.job.path)
        turned = session.job.ink[2].angle.deg != 45
        return replace(first, findings=(care_of(first, "Cyan"),)) if turned else first

    monkeypatch.setattr("separations.uses.mended_job.checked", beating)
    said = CliRunner().invoke(topsheet, ["check", "--mend", str(job)])
    assert "left alone: angle of Cyan stays: " in said.output
    assert "would raise a care (Beat, Cyan).\n" in said.output
    assert "mended  halftone.ruling" in said.output
    assert "Beat" not in said.output.replace("raise a care (Beat, Cyan)", "")
    assert 3 <= len(asked) <= 9
    assert read_job(job.with_name("marsh-mended.toml")).ink[2].angle.deg == 45


def test_with_everything_left_alone_nothing_is_written(
    small_job: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = small_job(("angle = 22.5", "angle = 45"))
    before, last = sorted(job.parent.iterdir()), check_job(job)

    def beating(session: Session) -> Outcome:
        care = care_of(last, "Yellow", "Magenta", "Cyan", "Black", grade=Grade.STOP)
        return last if session.job.path == job else replace(last, findings=(*last.findings, care))

    monkeypatch.setattr("separations.uses.mended_job.checked", beating)
    said = CliRunner().invoke(topsheet, ["check", "--mend", str(job)])
    assert "left alone: angle of Cyan stays: " in said.output
    assert "nothing was written" in said.output
    assert sorted(job.parent.iterdir()) == before


def test_another_folder_is_refused(small_job: Write, tmp_path: Path) -> None:
    with pytest.raises(InputProblem, match="a folder other than the job's"):
        mend_job(small_job(*BAD), tmp_path / "new.toml")
    assert not (tmp_path / "new.toml").exists()


def test_out_without_mend_is_a_misuse(small_job: Write) -> None:
    said = CliRunner().invoke(topsheet, ["check", str(small_job()), "--out", "x.toml"])
    assert said.exit_code == 2
    assert "--out goes with --mend" in said.output


def test_filled_edges_are_for_photos(small_job: Write) -> None:
    job = small_job(('kind = "line"', 'kind = "line"\nfill_edges = true'))
    with pytest.raises(InputProblem, match="'fill_edges' on photos only"):
        read_job(job)


def test_run_says_that_films_are_withheld(small_job: Write, tmp_path: Path) -> None:
    job = small_job(("140 °C", "30 °C"))
    said = CliRunner().invoke(topsheet, ["run", str(job), "--out", str(tmp_path / "out")])
    assert said.exit_code == 1
    assert f"Wrote {tmp_path / 'out'}, but no films: they are withheld until" in said.output
