"""Recorded tracks laid on the photo and on a plan: where, how wide, beside and over each other."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from shapely import LineString, Point, get_parts, union_all

from preflight.findings import Grade
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.pipeline.fact_stages import QUICK_FINDINGS
from separations.pipeline.session import Session
from separations.pipeline.stages import BOARD, FILM_CONTENT, LINES, NOTES, PHOTOS_PLACED, TRACKS
from separations.planes.track_layout import TrackWork
from tests.track_art import (
    CAMERA,
    LANDMARKS,
    earth,
    landmark_tables,
    walk,
    write_track_job,
)

PLAIN = '[[track]]\nfile = "walks.gpx"\nnumber = 1\nink = "Black"\ntolerance = "0.05 mm"\n'
SECOND = PLAIN.replace("number = 1", "number = 2")
PLAN = '[plan]\nat = ["0 mm", "0 mm"]\nwidth = "50 mm"\nheight = "40 mm"\nink = "Cyan"\n'


def session_of(folder: Path, *words: str, walks: tuple[np.ndarray, ...] = (), **keys: str
               ) -> Session:
    return Session(write_track_job(folder / "job", "".join(words), *(walks or (walk(),)), **keys),
                   finest_ppi=72.0)


def work_of(folder: Path, *words: str, walks: tuple[np.ndarray, ...] = (), **keys: str
            ) -> TrackWork:
    return session_of(folder, *words, walks=walks, **keys).of(TRACKS)


def board_of(session: Session, local: np.ndarray) -> np.ndarray:
    """Where local places truly lie on the board (mm)."""
    art, = session.of(PHOTOS_PLACED)
    return art.placed.board_of(CAMERA.pixels_of(local)[0])


def test_the_line_lies_where_the_camera_saw_the_way(tmp_path: Path) -> None:
    session = session_of(tmp_path, PLAIN, 'width = "0.4 mm"\n')
    drawn, = session.of(TRACKS).drawn
    true = LineString(board_of(session, walk()))
    assert drawn.area.within(true.buffer(0.2 + 0.08))
    assert true.buffer(0.1).difference(drawn.area).area < 0.01 * drawn.area.area
    assert drawn.kind == "track"
    assert drawn.subject == "track 1"
    assert drawn.order == 2  # after both artworks


def test_its_likely_error_and_length_are_told(tmp_path: Path) -> None:
    work = work_of(tmp_path, PLAIN)
    facts, = work.tracks
    assert 0 < facts.likely_mm < 0.4
    assert facts.hidden_mm == 0
    assert facts.seen_mm == pytest.approx(LineString(get_parts(work.drawn[0].area)[
        0].exterior.coords).length / 2, rel=0.05)
    assert work.cameras[0].landmarks == len(LANDMARKS)


def test_a_track_finer_than_the_mesh_holds_is_widened(tmp_path: Path) -> None:
    facts, = work_of(tmp_path, PLAIN, 'width = "0.05 mm"\n').tracks
    assert facts.drawn_mm == pytest.approx(3 * 0.034)
    assert facts.asked_mm == 0.05


@pytest.mark.parametrize("hidden", ["dashed", "thin", "left out", "drawn"])
def test_parts_hidden_by_hand(tmp_path: Path, hidden: str) -> None:
    words = f'width = "0.8 mm"\nhidden = "{hidden}"\nhidden_points = [[40, 80]]\n'
    session = session_of(tmp_path, PLAIN, words)
    drawn, = session.of(TRACKS).drawn
    middle = LineString(board_of(session, walk()[44:76]))
    share = drawn.area.intersection(middle.buffer(0.4, cap_style="flat")).area / (
        0.8 * middle.length)
    assert share == pytest.approx({"dashed": 2.5 / 4.5, "thin": 0.5, "left out": 0.0,
                                   "drawn": 1.0}[hidden], abs=0.06)


def test_two_tracks_on_one_way_lie_side_by_side(tmp_path: Path) -> None:
    work = work_of(tmp_path, PLAIN, SECOND, walks=(walk(), walk(up=60.5)))
    lower, upper = work.drawn
    assert lower.area.distance(upper.area) >= 0.102 - 0.01
    assert work.tracks[1].moved_mm > 0.3
    assert work.tracks[0].moved_mm == 0


def test_where_two_cross_the_lower_one_is_left_out(tmp_path: Path) -> None:
    up = walk()[:, [1, 0, 2]] * [0, 0, 1] + np.column_stack(
        [np.zeros(120), np.linspace(850, 1500, 120), np.zeros(120)])
    lower, upper = work_of(tmp_path, PLAIN, SECOND, walks=(walk(), up)).drawn
    assert len(get_parts(lower.area.buffer(0.005))) == 2
    assert len(get_parts(upper.area.buffer(0.005))) == 1
    assert lower.area.distance(upper.area) == pytest.approx(0.102, abs=0.01)


def test_a_casing_clears_all_inks_round_the_line(tmp_path: Path) -> None:
    session = session_of(tmp_path, PLAIN, 'width = "0.6 mm"\ncasing = "1 mm"\n')
    drawn, = session.of(TRACKS).drawn
    assert drawn.casing.buffer(0.001).contains(drawn.area.buffer(0.99))
    for number, content in enumerate(session.of(FILM_CONTENT)):
        cleared = union_all([line.area for line in content.lines if line.action == "knock out"
                             and hasattr(line, "area")])
        assert cleared.buffer(0.001).contains(drawn.casing.intersection(
            session.of(BOARD).area.printed)), number
        printed = [line for line in content.lines if line.action == "print"
                   and hasattr(line, "area")]
        assert bool(printed) == (number == 3)


def test_name_and_arrow(tmp_path: Path) -> None:
    drawn, = work_of(tmp_path, PLAIN, 'name = "Tern Walk"\narrow = "4 mm"\n').drawn
    assert "".join(letter.text for letter in drawn.letters) == "TernWalk"
    assert drawn.subject == "Tern Walk"
    plain, = work_of(tmp_path / "b", PLAIN).drawn
    assert drawn.area.area > plain.area.area + 5


def test_what_lies_off_the_photo_is_cut(tmp_path: Path) -> None:
    far = walk()
    far[:, 0] *= 4
    drawn, = work_of(tmp_path, PLAIN, walks=(far,)).drawn
    art, = session_of(tmp_path / "b", PLAIN).of(PHOTOS_PLACED)
    assert drawn.area.within(art.placed.polygon.buffer(0.4))
    behind = walk() * [1, -1, 1]
    with pytest.raises(InputProblem, match="a track of which nothing lies on the photo"):
        work_of(tmp_path / "c", PLAIN, walks=(behind,))


def test_the_plan_is_true_to_scale_and_turned(tmp_path: Path) -> None:
    words = PLAN + "scale = 25000\nturn = 30\n"
    session = session_of(tmp_path, PLAIN, 'on = "plan"\nwidth = "0.4 mm"\n', words,
                         landmarks="")
    track, furniture = session.of(TRACKS).drawn
    assert furniture.kind == "plan"
    assert furniture.ink == "Cyan"
    east_west = math.hypot(900, 2 * 60 * math.sin(5)) / 25.0  # mm
    corners = np.array(track.area.minimum_rotated_rectangle.exterior.coords)
    long = max(math.dist(*pair) for pair in pairwise(corners))
    assert long == pytest.approx(east_west + 0.4, abs=0.4)
    ends = sorted(track.area.exterior.coords, key=lambda p: p[0] * math.sin(math.radians(30))
                  - p[1] * math.cos(math.radians(30)))
    way = np.subtract(ends[-1], ends[0])
    # To the east is to the right of the nose, turned by 30°; the way ends farther south.
    south = math.degrees(math.atan2(2 * 60 * math.sin(5), 900))
    assert math.degrees(math.atan2(way[1], way[0])) == pytest.approx(-60 + south, abs=1.5)


def test_the_scale_bar_is_as_long_as_it_says(tmp_path: Path) -> None:
    *_, furniture = work_of(tmp_path, PLAIN, 'on = "plan"\n', PLAN + "turn = 90\nscale = 25000\n",
                            landmarks="").drawn
    assert "".join(letter.text for letter in furniture.letters) == "500mN"
    bar = max(get_parts(furniture.area), key=lambda part: part.bounds[2] - part.bounds[0])
    assert bar.bounds[2] - bar.bounds[0] == pytest.approx(20.0, abs=0.01)


def test_a_scale_too_large_for_the_room_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputProblem, match=r"found 1:5000, too large for its width and height"):
        work_of(tmp_path, PLAIN, 'on = "plan"\n', PLAN + "scale = 5000\n", landmarks="")


def ground(folder: Path, wall_m: float) -> None:
    """A flat ground with a wall 700 m to the north, in cells of 1/3600 of a degree."""
    lat, lon, _ = earth(np.array([[-1500.0, -200, 0], [1500, 2300, 0]]))
    cell = 1 / 3600
    rows, columns = int((lat[1] - lat[0]) / cell), int((lon[1] - lon[0]) / cell)
    heights = np.zeros((rows, columns))
    wall_lat = earth(np.array([[0.0, 700, 0]]))[0][0]
    wall = rows - 1 - int((wall_lat - lat[0]) / cell)
    heights[wall - 1:wall + 2, : columns // 2] = wall_m
    (folder / "ground.asc").write_text(
        f"ncols {columns}\nnrows {rows}\nxllcorner {lon[0]}\nyllcorner {lat[0]}\n"
        f"cellsize {cell}\n" + "\n".join(" ".join(f"{h:g}" for h in row) for row in heights),
        encoding="ascii")


@pytest.mark.parametrize(("wall", "hidden"), [(40.0, False), (120.0, True)])
def test_a_wall_hides_the_half_of_the_way_behind_it(tmp_path: Path, wall: float, hidden: bool
                                                    ) -> None:
    (tmp_path / "job").mkdir()
    ground(tmp_path / "job", wall)
    session = session_of(tmp_path, PLAIN, 'hidden = "left out"\n',
                         further='[ground]\ngrid = "ground.asc"\ngrid_crs = "EPSG:4326"\n')
    work = session.of(TRACKS)
    facts, = work.tracks
    if not hidden:
        assert facts.hidden_mm == 0
        return
    assert facts.hidden_mm / (facts.hidden_mm + facts.seen_mm) == pytest.approx(0.47, abs=0.03)
    left, right = (Point(board_of(session, walk()[[n]])[0]) for n in (20, 100))
    assert work.drawn[0].area.distance(left) > 5
    assert work.drawn[0].area.distance(right) < 0.1


def test_heights_of_two_kinds_need_a_figure(tmp_path: Path) -> None:
    words = '[ground]\ntrack_heights = "ellipsoid"\n'
    with pytest.raises(InputProblem, match="the sea level's height over the ellipsoid there"):
        work_of(tmp_path, PLAIN, further=words)
    level = landmark_tables(places=LANDMARKS - [0, 0, 48.0], marks=CAMERA.pixels_of(LANDMARKS)[0])
    session = session_of(tmp_path / "b", PLAIN, landmarks=level,
                         further=words + 'geoid_height = "48 m"\n')
    true = LineString(board_of(session, walk()))
    assert session.of(TRACKS).drawn[0].area.within(true.buffer(0.45))


def test_too_few_landmarks_are_told(tmp_path: Path) -> None:
    for folder, marks, told in (("a", 0, "0 landmarks"), ("b", 1, "1 landmark"), ("c", 3, "3 la")):
        words = "".join("[[landmark]]" + part for part in landmark_tables().split(
            "[[landmark]]")[1:marks + 1])
        with pytest.raises(InputProblem) as fault:
            work_of(tmp_path / folder, PLAIN, landmarks=words)
        assert f"found {told}" in fault.value.sentence
        assert fault.value.sentence.endswith("on 'photo.png'; 4 to 12 of them would do.")


def test_a_wrong_landmark_is_named_in_a_finding(tmp_path: Path) -> None:
    places = LANDMARKS.copy()
    places[3] += [140, 140, 0]
    job = write_track_job(tmp_path / "job", PLAIN, walk(),
                          landmarks=landmark_tables(places=places,
                                                    marks=CAMERA.pixels_of(LANDMARKS)[0]))
    quick = Session(job, finest_ppi=72.0).of(QUICK_FINDINGS)
    finding, = (f for f in quick.findings if f.id == "landmarks-agree")
    assert finding.grade is Grade.CARE
    assert finding.says.startswith("Landmark 4 lies ")


def test_notes_keep_their_place_over_the_tracks(tmp_path: Path) -> None:
    note = '[[note]]\ntext = "Here"\nat = ["0 mm", "0 mm"]\nink = "Black"\n'
    session = session_of(tmp_path, PLAIN, 'on = "both"\n', PLAN, further=note)
    orders = [one.order for one in (*session.of(LINES), *session.of(TRACKS).drawn,
                                    *session.of(NOTES))]
    assert orders == [2, 2, 3, 4]
    assert read_job(session.job.path).track[0].on == "both"
