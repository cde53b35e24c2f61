"""Do recorded tracks lie where they should, apart from each other and wide enough?"""

from __future__ import annotations

from collections.abc import Iterator

from preflight.basis import given
from preflight.checks import limits
from preflight.facts.submission import Submission
from preflight.facts.track_facts import CameraFacts, TrackFacts
from preflight.findings import Figure, Finding, Grade, at_least


def landmarks_agree(submission: Submission) -> Iterator[Finding]:
    """All landmarks of a photo agree on where it was taken."""
    for camera in submission.cameras:
        wrong = camera.wrong > 0
        yield Finding(
            id="landmarks-agree", check="Landmarks on the photo", subjects=(camera.photo,),
            grade=Grade.CARE if wrong else Grade.CLEAR,
            says=f"Landmark {camera.wrong} lies {camera.wrong_px:.0f} pixels from where the other "
                 f"{camera.landmarks} put it, and was left out." if wrong else _agree(camera),
            measured=Figure(value=float(wrong), unit="landmarks left out"),
            limit=Figure(value=0, unit="landmarks left out"), source=given("its landmarks"),
            mend="Check its mark on the photo, and its latitude, longitude and height."
            if wrong else "")


def tracks_lie_true(submission: Submission) -> Iterator[Finding]:
    """Tracks lie on the photo within their own width, or the tolerance that the job gives them."""
    for track in submission.tracks:
        if not track.photo:
            continue
        limit = max(track.tolerance_mm, track.drawn_mm)
        unsure = track.likely_mm > limit
        yield Finding(
            id="track-place", check="Place of tracks on the photo",
            subjects=(track.subject, track.photo), subject=track.subject,
            grade=Grade.CARE if unsure else Grade.CLEAR,
            says=f"Going by the landmarks alone it may lie {_mm(track.likely_mm)} off its true "
                 f"place, {_mm(track.worst_mm)} where they fix it least (one standard deviation).",
            measured=Figure(value=track.likely_mm, unit="mm off"),
            limit=Figure(value=limit, unit="mm off"),
            source=given("the track's tolerance or width, the larger"),
            mend="Mark more landmarks, nearer to the track and round it, near and far."
            if unsure else "")


def tracks_are_drawn_as_asked(submission: Submission) -> Iterator[Finding]:
    """What was changed of tracks so that the mesh holds them."""
    for track in submission.tracks:
        moved = track.moved_mm > 0
        yield Finding(
            id="track-apart", check="Tracks beside each other", subjects=(track.subject, track.ink),
            subject=track.subject, grade=Grade.NOTE if moved else Grade.CLEAR,
            says=f"{track.moved_over_mm:.0f} mm of it was moved, by up to "
                 f"{_mm(track.moved_mm)}, to keep a gap of {track.gap_mm * 1000:.0f} µm." if moved
            else f"Nothing of it had to be moved to keep a gap of {track.gap_mm * 1000:.0f} µm.",
            measured=Figure(value=track.moved_mm, unit="mm moved"),
            limit=Figure(value=0, unit="mm moved"), source=limits.FINEST_LINE.source,
            mend="Leave it, or use a part of the track that does not go there twice."
            if moved else "")
        widened = track.drawn_mm > track.asked_mm
        yield Finding(
            id="track-width", check="Width of tracks", subjects=(track.subject, track.ink),
            subject=track.subject, grade=Grade.NOTE if widened else Grade.CLEAR,
            says=f"It is drawn {track.drawn_mm * 1000:.0f} µm wide, the finest line of its mesh."
            if widened else f"It is drawn as wide as asked for, {track.drawn_mm:g} mm; "
                            f"{_parts(track)}",
            measured=Figure(value=track.asked_mm, unit="mm wide"),
            limit=at_least(track.gap_mm, "mm wide"), source=limits.FINEST_LINE.source,
            mend="Give it that width, or print it through a finer mesh." if widened else "")


def _agree(camera: CameraFacts) -> str:
    return (f"{camera.landmarks} landmarks agree within {camera.noise_px:.1f} pixels (one standard "
            f"deviation); landmark {camera.worst} misses most, by {camera.worst_px:.1f}.")


def _parts(track: TrackFacts) -> str:
    return (f"{track.seen_mm:.0f} mm of it are seen, {track.hidden_mm:.0f} mm hidden."
            if track.photo else f"{track.seen_mm:.0f} mm long on the plan.")


def _mm(length: float) -> str:
    return f"{float(f'{length:.2g}'):g} mm"
