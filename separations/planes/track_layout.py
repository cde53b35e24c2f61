"""The job's recorded tracks laid on its photographs and its plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from preflight.facts.submission import ArtOnBoard
from preflight.facts.track_facts import CameraFacts, TrackFacts
from preflight.job_file.job import Job
from preflight.job_file.track_consistency import photo_of
from preflight.job_file.track_tables import TrackTable
from preflight.vector_art.drawn_art import DrawnArt
from preflight.vector_art.lettering import SHIPPED_FONT, open_face
from preflight.vector_art.line_drawing import LineName, LineStyle
from preflight.vector_art.notes import type_size_mm
from separations.planes.drawn_courses import CourseStyle, DrawnCourses, draw_courses
from separations.planes.drawn_layout import track_order
from separations.planes.seen_tracks import (
    SeenTrack,
    camera_facts,
    ground_grid,
    seen_track,
    views_of,
)
from separations.planes.track_plan import PlanDrawing, plan_of


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackWork:
    """The job's tracks on its board.

    Attributes
    ----------
    drawn : tuple of DrawnArt
        What prints, bottom first; a track on the photo and on the plan is there twice.
    cameras : tuple of CameraFacts
        The photos' cameras.
    tracks : tuple of TrackFacts
        The tracks, as often as they are drawn.
    """

    drawn: tuple[DrawnArt, ...] = ()
    cameras: tuple[CameraFacts, ...] = ()
    tracks: tuple[TrackFacts, ...] = ()


def draw_tracks(job: Job, photos: Sequence[ArtOnBoard]) -> TrackWork:
    """Draw the job's tracks.

    Parameters
    ----------
    job : Job
        The job.
    photos : sequence of ArtOnBoard
        Its photographs where they lie.

    Raises
    ------
    InputProblem
        When a track, a grid of heights or a font cannot be read, landmarks do not tell a camera,
        or a track does not lie on its photo.
    """
    if not job.track:
        return TrackWork()
    views, grid = views_of(job, photos), ground_grid(job)
    seen = {number: seen_track(job, number, views[photo_of(job, table.photo)], grid)
            for number, table in enumerate(job.track) if table.on != "plan"}
    drawn: list[DrawnArt] = []
    facts: list[TrackFacts] = []
    for photo in views:
        mine = [n for n in seen if photo_of(job, job.track[n].photo) == photo]
        _lay(job, mine, [seen[n] for n in mine], photo, drawn, facts)
    plan = plan_of(job) if job.plan is not None else None
    if plan is not None:
        _lay(job, plan.numbers, [SeenTrack(courses=one) for one in plan.courses], "", drawn, facts)
        drawn.append(_furniture(job, plan))
    return TrackWork(drawn=tuple(sorted(drawn, key=lambda one: one.order)), tracks=tuple(facts),
                     cameras=tuple(camera_facts(job, view) for view in views.values()))


def _lay(job: Job, numbers: Sequence[int], seen: Sequence[SeenTrack], photo: str,
         drawn: list[DrawnArt], facts: list[TrackFacts]) -> None:
    styles = [_style(job, job.track[number]) for number in numbers]
    made = draw_courses([
        (one.courses, style, f"{job.path}: track[{number + 1}]")
        for one, style, number in zip(seen, styles, numbers, strict=True)])
    for number, one, track in zip(numbers, seen, made, strict=True):
        table, subject = job.track[number], _subject(job, number)
        drawn.append(_drawn_art(job, number, subject, track))
        facts.append(TrackFacts(
            subject=subject, ink=table.ink, photo=photo, tolerance_mm=table.tolerance.mm,
            likely_mm=one.likely_mm, worst_mm=one.worst_mm, moved_mm=track.moved_mm,
            moved_over_mm=track.moved_over_mm, gap_mm=track.style.finest_mm,
            asked_mm=table.width.mm, drawn_mm=track.style.line.width_mm,
            seen_mm=track.length_mm(hidden=False), hidden_mm=track.length_mm(hidden=True)))


def _subject(job: Job, number: int) -> str:
    """What a track is called: as the job names it, never as its file does."""
    return job.track[number].name or f"track {number + 1}"


def _style(job: Job, table: TrackTable) -> CourseStyle:
    ink = next(ink for ink in job.ink if ink.name == table.ink)
    finest = job.mesh_of(ink).finest_line_um / 1000
    face = open_face(job.beside(table.font) if table.font else SHIPPED_FONT)
    name = None if table.name is None else LineName(
        words=table.name, face=face, type_mm=type_size_mm(table, face),
        at=table.name_at.fraction, stands=table.name_stands)
    return CourseStyle(
        line=LineStyle(width_mm=max(table.width.mm, finest), arrow_mm=table.arrow.mm,
                       dashes_mm=tuple(dash.mm for dash in table.dashes)),
        hidden=table.hidden, casing_mm=table.casing.mm, finest_mm=finest, name=name)


def _drawn_art(job: Job, number: int, subject: str, track: DrawnCourses) -> DrawnArt:
    table, name = job.track[number], track.style.name
    return DrawnArt(
        subject=subject, kind="track", order=track_order(job, number), ink=table.ink, tint=1.0,
        # A casing leaves nothing beneath that could be knocked out.
        knocks_out=table.beneath == "knock out" and track.casing.is_empty, area=track.area,
        letters=track.letters, type_mm=name.type_mm if name else 0.0,
        capital_mm=name.capital_mm if name else 0.0, casing=track.casing)


def _furniture(job: Job, plan: PlanDrawing) -> DrawnArt:
    return replace(plan.furniture, order=track_order(job, len(job.track)))
