"""GPX 1.1: what is read of it, what never is, and files that are refused."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.track_tables import TrackTable
from preflight.job_file.track_values import Moment
from preflight.tracks.gpx_file import read_gpx
from preflight.tracks.track_part import wanted_part

HEAD = '<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1">'


def point(lat: object, lon: object = 5.0, inner: str = "<ele>12.5</ele>") -> str:
    return f'<trkpt lat="{lat}" lon="{lon}">{inner}</trkpt>'


def gpx(tmp_path: Path, body: str, head: str = HEAD) -> Path:
    path = tmp_path / "way.gpx"
    path.write_text(f"{head}{body}</gpx>", encoding="utf-8")
    return path


def track(*points: str) -> str:
    return f"<trk><name>who goes there</name><trkseg>{''.join(points)}</trkseg></trk>"


def test_points_of_all_stretches_and_of_one_track(tmp_path: Path) -> None:
    path = gpx(tmp_path, "<metadata><author><name>secret</name></author></metadata>"
               + track(point(60), point(61, inner="<time>2026-06-01T08:00:00Z</time>"))
               + track(point(62, inner="<ele>3</ele><extensions><a>&lt;b</a></extensions>"),
                       point(63)))
    both = read_gpx(path)
    assert both.latitude_deg.tolist() == [60, 61, 62, 63]
    assert both.stretch.tolist() == [0, 0, 1, 1]
    assert both.height_m[0] == 12.5
    assert np.isnan(both.height_m[1])
    assert both.seconds[1] == 1_780_300_800
    assert read_gpx(path, 2).latitude_deg.tolist() == [62, 63]


@pytest.mark.parametrize(("text", "found"), [
    ("<gpx", "XML that is not well formed"),
    ("<svg xmlns='http://www.w3.org/2000/svg'/>", "XML that begins with <svg>"),
    (f"{HEAD.replace('1.1', '1.0').replace('1/1', '1/0')}</gpx>", "another version than 1.1"),
    (f"{HEAD}</gpx>", "no recorded track"),
    (f"{HEAD}<rte><rtept lat='1' lon='1'/></rte></gpx>", "no recorded track"),
    (f"{HEAD}{track(point(60))}</gpx>", "1 point in its track"),
    (f"{HEAD}{track(point(60), point(95))}</gpx>", "point 2, which lies nowhere on earth"),
    (f"{HEAD}{track(point(60), point('nan'))}</gpx>", "point 2, which lies nowhere on earth"),
    (f"{HEAD}{track(point(60), point('north'))}</gpx>", "a track that cannot be read"),
    (f"{HEAD}{track(point(60), point(61, inner='<ele>1e9</ele>'))}</gpx>", "point 2, which lies"),
    ("<!DOCTYPE gpx [<!ENTITY a 'aaaa'><!ENTITY b '&a;&a;&a;'>]>" + HEAD + "&b;</gpx>",
     "a document type or entities"),
    ("<!DOCTYPE gpx SYSTEM 'http://localhost/x.dtd'>" + HEAD + "</gpx>",
     "a document type or entities"),
])
def test_files_that_are_refused(tmp_path: Path, text: str, found: str) -> None:
    path = tmp_path / "way.gpx"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputProblem) as fault:
        read_gpx(path)
    assert found in fault.value.sentence
    assert "GPX 1.1" in fault.value.sentence or "way" in fault.value.sentence


def test_a_track_that_is_not_there(tmp_path: Path) -> None:
    path = gpx(tmp_path, track(point(60), point(61)))
    with pytest.raises(InputProblem, match="found 1 track; a number up to 1 would do"):
        read_gpx(path, 2)


def table(**keys: object) -> TrackTable:
    return TrackTable(file="way.gpx", ink="Black", **keys)  # type: ignore[arg-type]


def moment(text: str) -> object:
    import datetime

    return Moment.__metadata__[0].func(datetime.datetime.fromisoformat(text))  # type: ignore[attr-defined]


def test_parts_by_point_and_by_time(tmp_path: Path) -> None:
    path = gpx(tmp_path, track(*(point(60 + n, inner=f"<time>2026-06-01T08:0{n}:00Z</time>")
                                 for n in range(6))))
    points = read_gpx(path)
    assert wanted_part(points, table(from_point=2, to_point=4), where="job").number.tolist() == [
        2, 3, 4]
    timed = wanted_part(points, table(from_time=moment("2026-06-01T10:03:00+02:00")), where="job")
    assert timed.number.tolist() == [4, 5, 6]
    with pytest.raises(InputProblem, match="0 points in the part that is asked for"):
        wanted_part(points, table(from_point=9), where="job")


def test_times_of_a_track_without(tmp_path: Path) -> None:
    points = read_gpx(gpx(tmp_path, track(point(60), point(61))))
    with pytest.raises(InputProblem, match="a track with points without a time"):
        wanted_part(points, table(to_time=moment("2026-06-01T10:03:00+02:00")), where="job")
