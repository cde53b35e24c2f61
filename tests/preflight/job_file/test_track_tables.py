"""Keys of tracks, landmarks, ground and plan: what is refused, each in a sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from preflight.job_file.job_revision import job_revision
from tests.small_art import write_small_job

TRACK = '[[track]]\nfile = "walk.gpx"\nink = "Black"\n'
MARK = ('[[landmark]]\nat = ["{n} %", "20 px"]\nlatitude = 46.5\nlongitude = -27.2\n'
        'height = "{n} m"\n')
MARKS = "".join(MARK.format(n=n) for n in range(10, 60, 10))
PLAN = '[plan]\nat = ["0 mm", "0 mm"]\nwidth = "50 mm"\nheight = "40 mm"\nink = "Cyan"\n'


def job_with(folder: Path, tables: str) -> Job:
    return read_job(write_small_job(folder / "job", ("[halftone]", f"{tables}\n[halftone]")))


def test_what_is_sound_is_read(tmp_path: Path) -> None:
    job = job_with(tmp_path, MARKS + TRACK + 'from_time = 2026-06-01T08:00:00+02:00\n'
                   'hidden_points = [[3, 9]]\non = "both"\n' + PLAN)
    assert job.track[0].tolerance.mm == 0.3
    assert job.track[0].hidden_points == ((3, 9),)
    assert job.landmark[1].at[0].pixels(1000) == 200
    assert job.landmark[1].at[1].pixels(1000) == 20
    assert job.landmark[1].height.mm == 20_000
    assert job.plan is not None


@pytest.mark.parametrize(("tables", "sentence"), [
    ("".join(MARK.format(n=n) for n in range(5, 70, 5)) + TRACK, "found 13 landmarks on"),
    (MARKS + TRACK + 'from_point = 3\nto_time = 2026-06-01T08:00:00Z\n',
     "a part given by time and by point"),
    (MARKS + TRACK + "from_point = 9\nto_point = 9\n", "a part that ends before it begins"),
    (MARKS + TRACK + "from_time = 2026-06-01T08:00:00\n", "a time with its zone"),
    (MARKS + TRACK + "hidden_points = [[9, 3]]\n", "pairs of a first and a last point"),
    (MARKS + TRACK + 'heights = "ground"\n', "'ground' without a grid of heights"),
    (MARKS + TRACK + 'on = "both"\n', "'both' without a [plan]"),
    (MARKS + TRACK + PLAN, "a plan without a track"),
    (MARKS + TRACK + 'photo = "lines.png"\n', "found 'lines.png'; the file of one photo"),
    (MARKS + TRACK.replace("Black", "Gold"), "track[1].ink: found 'Gold'"),
    (MARKS + TRACK + 'width = "0 mm"\n', "a width above 0 mm"),
    (MARKS + TRACK + 'tolerance = "2 cm"\n', "a tolerance such as '0.3 mm'"),
    (MARKS.replace("46.5", "146.5", 1) + TRACK, "degrees north such as"),
    (MARKS.replace("-27.2", "999", 1) + TRACK, "degrees east such as"),
    (MARKS.replace('"20 px"', '"20 mm"', 1) + TRACK, "two distances, from the photo's left"),
    (MARKS.replace('"10 %"', '"110 %"', 1) + TRACK, "two distances, from the photo's left"),
    (MARKS.replace('"10 m"', '"90 km"', 1) + TRACK, "a height such as '84 m'"),
    (MARKS + TRACK + '[ground]\nlandmark_heights = "ellipsoid"\n', "ground.geoid_height: found"),
    (MARKS + TRACK + 'on = "plan"\n' + PLAN.replace('"Cyan"', '"Rose"'), "plan.ink"),
])
def test_what_is_refused(tmp_path: Path, tables: str, sentence: str) -> None:
    with pytest.raises(InputProblem) as fault:
        job_with(tmp_path, tables)
    assert sentence in fault.value.sentence


def test_only_jobs_with_tracks_have_another_revision(tmp_path: Path) -> None:
    """A job without the tables has the letters that it had before there were any."""
    plain = job_with(tmp_path, "")
    told = job_revision(plain, lambda path: path.name)
    assert told == job_revision(job_with(tmp_path, ""), lambda path: path.name)
    assert told != job_revision(job_with(tmp_path, MARKS), lambda path: path.name)
    with_track = job_with(tmp_path, MARKS + TRACK)
    one = job_revision(with_track, lambda path: path.name)
    assert one != job_revision(with_track, lambda path: f"other {path.name}")
