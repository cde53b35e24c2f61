"""What the keys of tracks, landmarks, ground and plan must have to do with each other."""

from __future__ import annotations

from preflight.input_problem import InputProblem
from preflight.job_file.drawn_consistency import check_either, check_ink, check_stroke, is_pdf
from preflight.job_file.job import Job
from preflight.job_file.track_tables import TrackTable
from preflight.nouns import counted

#: Fewest landmarks that tell where a camera stood, how it was turned and how long its lens was
#: (seven unknowns, two figures a landmark); the most is an own rule.
FEWEST_LANDMARKS, MOST_LANDMARKS = 4, 12
_MOST_TRACKS = 100


def check_tracks(job: Job) -> None:
    """Refuse contradictions in tracks and what belongs to them.

    Raises
    ------
    InputProblem
        For the first one, with the file and the key path.
    """
    if len(job.track) > _MOST_TRACKS:
        raise InputProblem(where=f"{job.path}: track", found=f"{len(job.track)} tracks",
                           would_do=f"at most {_MOST_TRACKS}")
    for number, landmark in enumerate(job.landmark, 1):
        _photo_named(job, landmark.photo, f"{job.path}: landmark[{number}]")
    _check_heights(job)
    for number, track in enumerate(job.track, 1):
        _check_track(job, track, f"{job.path}: track[{number}]")
    if job.plan is not None:
        check_ink(job, job.plan.ink, f"{job.path}: plan")
        check_either(job.plan, "cap_height", "type_size", f"{job.path}: plan")
        if job.plan.line.mm <= 0:
            raise InputProblem(where=f"{job.path}: plan.line", found=f"'{job.plan.line.written}'",
                               would_do="a width above 0 mm")
        if not any(track.on != "photo" for track in job.track):
            raise InputProblem(where=f"{job.path}: plan", found="a plan without a track",
                               would_do="a [[track]] with on = \"plan\" or \"both\"")


def photo_of(job: Job, named: str | None) -> str:
    """The file of the photo that a landmark or track means; the only one where none is named."""
    return named or next((art.file for art in job.art if art.kind == "photo"), "")


def landmarks_on(job: Job, photo: str) -> tuple[int, ...]:
    """Places, from 0, of the landmarks that are marked on a photo."""
    return tuple(place for place, mark in enumerate(job.landmark)
                 if photo_of(job, mark.photo) == photo)


def wrong_count(job: Job, photo: str) -> InputProblem:
    """What is told of too few or too many landmarks."""
    count = len(landmarks_on(job, photo))
    return InputProblem(where=f"{job.path}: landmark",
                        found=f"{counted(count, 'landmark')} on '{photo}'",
                        would_do=f"{FEWEST_LANDMARKS} to {MOST_LANDMARKS} of them")


def _check_track(job: Job, track: TrackTable, where: str) -> None:
    check_stroke(job, track, where)
    by_time = track.from_time is not None or track.to_time is not None
    by_point = track.from_point is not None or track.to_point is not None
    if by_time and by_point:
        raise InputProblem(where=where, found="a part given by time and by point",
                           would_do="one of the two")
    if (track.from_time and track.to_time and track.from_time >= track.to_time) or (
            track.from_point and track.to_point and track.from_point >= track.to_point):
        raise InputProblem(where=where, found="a part that ends before it begins",
                           would_do="a later end")
    if track.heights == "ground" and job.ground.grid is None:
        raise InputProblem(where=f"{where}.heights", found="'ground' without a grid of heights",
                           would_do="a 'grid' in [ground], or heights = \"track\",")
    if track.on != "photo" and job.plan is None:
        raise InputProblem(where=f"{where}.on", found=f"'{track.on}' without a [plan]",
                           would_do="a table [plan]")
    if track.on != "plan":
        photo = _photo_named(job, track.photo, where)
        if len(landmarks_on(job, photo)) > MOST_LANDMARKS:
            raise wrong_count(job, photo)


def _photo_named(job: Job, named: str | None, where: str) -> str:
    photos = [art.file for art in job.art if art.kind == "photo" and not is_pdf(art)]
    if named is None and len(photos) != 1:
        raise InputProblem(where=f"{where}.photo",
                           found=f"no name, where the job has {counted(len(photos), 'photo')}",
                           would_do="the file of a photo of the job (no PDF)")
    if named is not None and photos.count(named) != 1:
        found = f"'{named}'" if named not in photos else f"'{named}', which lies there twice"
        raise InputProblem(where=f"{where}.photo", found=found,
                           would_do="the file of one photo of the job (no PDF)")
    return photo_of(job, named)


def _check_heights(job: Job) -> None:
    ground = job.ground
    kinds = {ground.landmark_heights} if any(t.on != "plan" for t in job.track) else set()
    kinds |= {ground.track_heights for track in job.track if track.heights == "track"}
    if ground.grid is not None and kinds:
        kinds.add(ground.grid_heights)
    if len(kinds) > 1 and ground.geoid_height is None:
        raise InputProblem(
            where=f"{job.path}: ground.geoid_height",
            found="heights over the sea beside heights over the ellipsoid, and no figure that "
                  "leads from one to the other",
            would_do="the sea level's height over the ellipsoid there, such as '45 m',")
