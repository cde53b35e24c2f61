"""Recorded tracks as a photo's camera sees them: courses on the board, before they are drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.art.camera_exif import camera_exif
from preflight.facts.submission import ArtOnBoard
from preflight.facts.track_facts import CameraFacts
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.track_consistency import (
    FEWEST_LANDMARKS,
    landmarks_on,
    photo_of,
    wrong_count,
)
from preflight.job_file.track_tables import HeightsFrom, TrackTable
from preflight.tracks.course import Course, along, even_course, runs
from preflight.tracks.gpx_file import read_gpx
from preflight.tracks.height_grid import HeightGrid, is_hidden
from preflight.tracks.height_grid_file import read_height_grid
from preflight.tracks.judged_landmarks import JudgedCamera, judged_camera
from preflight.tracks.local_frame import LocalFrame
from preflight.tracks.resection import CameraStart, Marks
from preflight.tracks.track_part import wanted_part
from preflight.tracks.track_points import BoolArray, FloatArray, TrackPoints

#: Points that a stretch is looked at in, at least, where the ground may hide it.
_FINE, _MOST_FINE = 400, 8000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeenTrack:
    """A track on the board.

    Attributes
    ----------
    courses : tuple of Course
        Its unbroken parts.
    likely_mm, worst_mm : float
        As `TrackFacts` has them.
    """

    courses: tuple[Course, ...]
    likely_mm: float = 0.0
    worst_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PhotoView:
    """A photo on the board, its camera, and the frame that the camera is told in."""

    art: ArtOnBoard
    frame: LocalFrame
    judged: JudgedCamera

    def board_of(self, pixels: FloatArray) -> FloatArray:
        """Board x and y (mm) of pixels of the whole photo."""
        kept = self.art.artwork.kept
        corner = (kept.first_column, kept.first_row) if kept else (0, 0)
        return self.art.placed.board_of(pixels - np.array(corner, np.float64))

    def on_photo(self, pixels: FloatArray) -> BoolArray:
        """Which pixels lie on what is kept of the photo."""
        kept, whole = self.art.artwork.kept, self.art.artwork.uncropped
        left, top, right, low = (
            (kept.first_column, kept.first_row, kept.end_column, kept.end_row) if kept
            else (0, 0, whole.width_px, whole.height_px))
        with np.errstate(invalid="ignore"):
            return np.asarray((pixels[:, 0] >= left) & (pixels[:, 0] <= right)
                              & (pixels[:, 1] >= top) & (pixels[:, 1] <= low))


def recorded(job: Job, number: int) -> TrackPoints:
    """The part of its file that a track of the job asks for; ``number`` is its place from 0."""
    table = job.track[number]
    return wanted_part(read_gpx(job.beside(table.file), table.number), table,
                       where=f"{job.path}: track[{number + 1}]")


def ground_grid(job: Job) -> HeightGrid | None:
    """The job's grid of heights, where tracks on a photo have a use for it."""
    if job.ground.grid is None or all(track.on == "plan" for track in job.track):
        return None
    return read_height_grid(job.beside(job.ground.grid), job.ground.grid_crs,
                            where=f"{job.path}: ground")


def views_of(job: Job, photos: Sequence[ArtOnBoard]) -> dict[str, PhotoView]:
    """The camera of each photo that a track lies on.

    Raises
    ------
    InputProblem
        When a photo has too few landmarks, or they do not tell its camera.
    """
    wanted = dict.fromkeys(photo_of(job, t.photo) for t in job.track if t.on != "plan")
    return {name: _view(job, next(art for art in photos if art.table.file == name))
            for name in wanted}


def landmark_places(job: Job, photos: Sequence[ArtOnBoard]) -> dict[int, FloatArray]:
    """Where on the board the job's landmarks are marked (mm), by their places from 0.

    Those on a photo that is not there are left out.
    """
    found = {}
    for art in photos:
        whole, kept = art.artwork.uncropped, art.artwork.kept
        corner = (kept.first_column, kept.first_row) if kept else (0, 0)
        for place in landmarks_on(job, art.table.file):
            across, down = job.landmark[place].at
            found[place] = art.placed.board_of(np.array([
                across.pixels(whole.width_px), down.pixels(whole.height_px)]) - corner)
    return dict(sorted(found.items()))


def camera_facts(job: Job, view: PhotoView) -> CameraFacts:
    """How well a photo's landmarks agree."""
    judged, numbers = view.judged, landmarks_on(job, view.art.table.file)
    worst, worst_px = judged.worst
    return CameraFacts(
        photo=view.art.table.file, landmarks=len(judged.kept), noise_px=judged.resection.noise_px,
        worst=numbers[worst] + 1, worst_px=worst_px,
        wrong=0 if judged.wrong is None else numbers[judged.wrong] + 1,
        wrong_px=judged.wrong_by_px)


def _view(job: Job, art: ArtOnBoard) -> PhotoView:
    marks = [job.landmark[place] for place in landmarks_on(job, art.table.file)]
    if len(marks) < FEWEST_LANDMARKS:  # not told before: they may be marked one after another
        raise wrong_count(job, art.table.file)
    whole = art.artwork.uncropped
    size = (whole.width_px, whole.height_px)
    frame = LocalFrame(marks[0].latitude, marks[0].longitude, 0.0)
    lift = _lift_m(job, job.ground.landmark_heights)
    local = frame.local_of(
        np.array([mark.latitude for mark in marks]), np.array([mark.longitude for mark in marks]),
        np.array([mark.height.mm / 1000 + lift for mark in marks]))
    pixels = np.array([[mark.at[0].pixels(size[0]), mark.at[1].pixels(size[1])]
                       for mark in marks])
    where = f"{job.path}: landmark"
    if (pixels > size).any():
        outside = int(np.argmax((pixels > size).any(axis=1)))
        raise InputProblem(where=f"{where}[{landmarks_on(job, art.table.file)[outside] + 1}].at",
                           found=f"a place beyond a photo of {size[0]} × {size[1]} pixels",
                           would_do="a place on the photo")
    told = camera_exif(art.artwork.path)
    start = CameraStart(
        focal_px=told.focal_diagonals * float(np.hypot(*size)) if told.focal_diagonals else None,
        position_m=None if told.place is None else frame.local_of(
            *(np.array([part]) for part in told.place))[0])
    return PhotoView(art=art, frame=frame, judged=judged_camera(
        Marks(local_m=local, pixels=pixels, size_px=size), start, where=where))


def _lift_m(job: Job, counted: HeightsFrom) -> float:
    """What makes heights of a kind heights over the ellipsoid.

    Without a figure all heights are of one kind: what they are counted from then is the same for
    camera and landmarks, and falls out.
    """
    geoid = job.ground.geoid_height
    return 0.0 if counted == "ellipsoid" or geoid is None else geoid.mm / 1000


def seen_track(job: Job, number: int, view: PhotoView, grid: HeightGrid | None) -> SeenTrack:
    """A track as a photo's camera sees it.

    Raises
    ------
    InputProblem
        When its file or its part cannot be used, or a point of it has no height.
    """
    table, points = job.track[number], recorded(job, number)
    where = f"{job.path}: track[{number + 1}]"
    heights = _heights(job, table, points, grid, where)
    local = view.frame.local_of(points.latitude_deg, points.longitude_deg, heights)
    camera = view.judged.camera
    courses: list[Course] = []
    likely: list[FloatArray] = []
    for stretch in dict.fromkeys(points.stretch.tolist()):
        own = points.stretch == stretch
        if np.count_nonzero(own) < 2:
            continue
        fine, at = _finer(local[own], None if grid is None else grid.cell_m)
        pixels, _ = camera.pixels_of(fine)
        hidden = _named_hidden(table, points.number[own], at)
        if grid is not None and table.hidden != "drawn":
            hidden |= is_hidden(grid, view.frame, camera.position_m, fine,
                                _lift_m(job, job.ground.grid_heights))
        for first, end in runs(view.on_photo(pixels)):
            course = None if end - first < 2 else even_course(
                view.board_of(pixels[first:end]), hidden[first:end], table.tolerance.mm)
            if course is not None:
                courses.append(course)
                likely.append(camera.likely_px(fine[first:end]))
    if not courses:
        raise InputProblem(where=where, found="a track of which nothing lies on the photo",
                           would_do="a track, or a part of it, that the photo shows")
    spread = np.concatenate(likely) * view.art.placed.mm_per_px
    return SeenTrack(courses=tuple(courses), likely_mm=float(np.sqrt(np.mean(spread**2))),
                     worst_mm=float(spread.max()))


def _heights(job: Job, table: TrackTable, points: TrackPoints, grid: HeightGrid | None,
             where: str) -> FloatArray:
    if table.heights == "ground" and grid is not None:
        heights = grid.heights_at(points.latitude_deg, points.longitude_deg) + _lift_m(
            job, job.ground.grid_heights)
        found, would_do = "point {} outside the grid of heights", "a larger grid, or another part"
    else:
        heights = points.height_m + _lift_m(job, job.ground.track_heights)
        found = "point {} without a height"
        would_do = "a track with heights, or heights = \"ground\" with a grid,"
    if np.isnan(heights).any():
        first = int(points.number[np.argmax(np.isnan(heights))])
        raise InputProblem(where=where, found=found.format(first), would_do=would_do)
    return heights


def _finer(local_m: FloatArray, cell_m: float | None) -> tuple[FloatArray, FloatArray]:
    """Points in steps that the ground's cells ask for, and where among the given ones they lie."""
    given = np.arange(len(local_m), dtype=np.float64)
    flat = along(local_m[:, :2])
    if cell_m is None or flat[-1] <= 0:
        return local_m, given
    count = int(np.clip(flat[-1] / cell_m, _FINE, _MOST_FINE))
    moves = np.concatenate([[True], np.diff(flat) > 0])
    more = np.interp(np.linspace(0.0, flat[-1], count), flat[moves], given[moves])
    at = np.union1d(given, more)
    return np.column_stack([np.interp(at, given, local_m[:, axis]) for axis in range(3)]), at


def _named_hidden(table: TrackTable, numbers: NDArray[np.int64], at: FloatArray) -> BoolArray:
    """Which points the job itself calls hidden."""
    number = np.interp(at, np.arange(len(numbers)), numbers)
    hidden = np.zeros(len(at), bool)
    for first, last in table.hidden_points:
        hidden |= (number >= first) & (number <= last)
    return hidden
