"""A job laid on its board, separated and checked: all that its outputs are made from."""

from __future__ import annotations

from dataclasses import dataclass

from preflight.facts.submission import Submission
from preflight.findings import Finding
from separations.films.film_contents import film_screenings
from separations.films.film_set import ReadyFilms
from separations.films.film_sheet import FilmSheet
from separations.halftone.film_content import FilmContent
from separations.measuring.hold.job_hold import MeshHold
from separations.pipeline.fact_stages import (
    FINDINGS,
    HOLD,
    PHOTO_FACTS,
    PHOTO_TILES,
    PICTURE_DAMAGE,
    SUBMISSION,
)
from separations.pipeline.kept_photos import take_much_room
from separations.pipeline.session import Session
from separations.pipeline.stages import (
    BOARD,
    FILM_CONTENT,
    FILM_SHEET,
    LAID_OUT,
    LATTICES,
    LINE_PICTURES,
    OVERLAYS,
    PHOTO_TONES,
    PHOTOS_PLACED,
    WHOLE_MODEL,
)
from separations.planes.art_separation import ArtSeparation
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.overlays import Overlay
from separations.runtime.free_memory import give_back_free_memory


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PreparedJob:
    """A job on its board, separated and checked; ready for films, proof or ink.

    Attributes
    ----------
    laid, separation, overlays : LaidOutJob, ArtSeparation, tuple of Overlay
        The job, its photographs as tones, and all that lies on them.
    sheet, contents : FilmSheet, tuple of FilmContent
        The sheet that all films share, and what each shows, in print order.
    submission, findings, hold : Submission, tuple of Finding, MeshHold
        What the checks saw and found, and what the meshes hold.
    """

    laid: LaidOutJob
    separation: ArtSeparation
    overlays: tuple[Overlay, ...]
    sheet: FilmSheet
    contents: tuple[FilmContent, ...]
    submission: Submission
    findings: tuple[Finding, ...]
    hold: MeshHold

    def films(self) -> ReadyFilms:
        """Its films, made ready to be screened."""
        return ReadyFilms(laid=self.laid, separation=self.separation, overlays=self.overlays,
                          sheet=self.sheet, screenings=film_screenings(self.contents))


def ready_films(session: Session) -> ReadyFilms:
    """A session's films made ready to be screened, without any check."""
    laid, separation, overlays, sheet, contents = session.all_of(
        LAID_OUT, PHOTO_TONES, OVERLAYS, FILM_SHEET, FILM_CONTENT)
    return ReadyFilms(laid=laid, separation=separation, overlays=overlays, sheet=sheet,
                      screenings=film_screenings(contents))


def prepared(session: Session) -> PreparedJob:
    """All of a session's job that outputs are made from; the session has it at hand afterwards.

    Raises
    ------
    InputProblem
        When the job, its outline or its art cannot be used.
    """
    if take_much_room([art.artwork.uncropped for art in session.of(PHOTOS_PLACED)]):
        # Their tones, which take as much room again, are the last to want them decoded.
        session.hold(LAID_OUT, LATTICES, LINE_PICTURES, PHOTO_FACTS, PICTURE_DAMAGE, PHOTO_TILES)
    laid, separation, overlays, sheet, contents, findings, hold, submission, *_ = session.hold(
        LAID_OUT, PHOTO_TONES, OVERLAYS, FILM_SHEET, FILM_CONTENT, FINDINGS, HOLD, SUBMISSION,
        BOARD, LINE_PICTURES, WHOLE_MODEL)
    session.let_go(PHOTO_TILES)
    give_back_free_memory()
    return PreparedJob(laid=laid, separation=separation, overlays=overlays, sheet=sheet,
                       contents=contents, submission=submission, findings=findings, hold=hold)
