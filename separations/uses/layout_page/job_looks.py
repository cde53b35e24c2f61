"""Looks at the job that is open: its picture, findings and dots, each of the newest text alone."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from threading import Lock
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.files.file_contents import FileContents
from preflight.findings import Finding
from preflight.frames.raster_grid import RasterGrid
from preflight.job_file.job import Job
from preflight.mends.mend import Mend
from preflight.mends.proposals import proposed_mends
from separations.films.film_set import estimate_of
from separations.ink_need.ink_estimate import InkEstimate
from separations.pipeline.calls import CHECK_PPI
from separations.pipeline.fact_stages import FINDINGS, QUICK_FINDINGS, SUBMISSION
from separations.pipeline.kept_photos import DECODED, KeptPhotos
from separations.pipeline.kept_results import KeptResults
from separations.pipeline.picture_stages import (
    FILM_WINDOWS,
    PROOF,
    PROOF_GRID,
    PROOF_MODELS,
    PROOF_SURROUNDINGS,
    PROOF_TONES,
)
from separations.pipeline.session import Session
from separations.pipeline.stages import BOARD, FILM_SHEET, LAID_OUT, PHOTO_TONES, WHOLE_MODEL
from separations.proof.soft_proof import board_proof, with_holes
from separations.uses.layout_page.film_loupe import Loupe

#: What is kept of looks, photographs aside. The whole server is to stay under 1.5 GiB.
_KEPT_BYTES = 256 * 2**20
#: Resolutions that the page asks its pictures in; the finest is beyond any use on a screen.
LEAST_PPI, MOST_PPI = 8.0, 200.0
#: The resolution that a page of usual width asks first; one that looks closer asks this before.
USUAL_PPI, _FIRST_PPI = 25.0, 72.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardPicture:
    """The board as it will look, or a part of it, and where that lies.

    Attributes
    ----------
    rows, columns : int
        Its size.
    pixels : bytes
        sRGB and an alpha, four bytes a pixel, row after row, nose to the right. They travel as
        they are, no further than this machine.
    left_x_mm, top_y_mm : float
        Board place of the picture's upper left corner: x grows to the right, y upwards.
    pixel_mm : float
        Side of its pixels.
    """

    rows: int
    columns: int
    pixels: bytes
    left_x_mm: float
    top_y_mm: float
    pixel_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundNow:
    """What checks say of the newest text.

    Attributes
    ----------
    job : Job
        As the text has it.
    findings : tuple of Finding
        All so far.
    pending : bool
        Whether slow ones are still to come.
    mends : tuple of Mend
        What a machine may mend; empty while findings are pending.
    """

    job: Job
    findings: tuple[Finding, ...]
    pending: bool
    mends: tuple[Mend, ...] = ()


class JobLooks:
    """Sessions on whatever text the job has at the moment; any thread may ask.

    What was asked of a text that is no longer the newest raises `NotWanted` at the next stage.

    Parameters
    ----------
    job : Job
        The job.
    revision : int
        The number of its text.
    """

    def __init__(self, job: Job, revision: int) -> None:
        self._lock = Lock()
        self.keep = KeptResults(_KEPT_BYTES, always=(DECODED,))
        self._contents = FileContents()
        self._revision = revision
        self._photos = _photos_of(job)
        self._asked: tuple[float, tuple[str, ...]] = USUAL_PPI, ()
        self._session = self._session_of(job, revision)

    def show(self, job: Job, revision: int) -> None:
        """Look at another text from now on; what it shares with the former is kept."""
        with self._lock:
            if revision == self._revision:
                return
            self._revision = revision
            self._session = self._session.changed(job, self._wanted(revision))
            photos, self._photos = self._photos, _photos_of(job)
        if photos != self._photos:
            KeptPhotos(self.keep).forget()  # no photograph stays that is not on the board

    @property
    def session(self) -> Session:
        """A session on the newest text, as coarse as a check's."""
        with self._lock:
            return self._session

    @property
    def revision(self) -> int:
        """The number of the newest text."""
        with self._lock:
            return self._revision

    def session_on(self, job: Job) -> Session:
        """A session on another job, such as a variant, that shares all that is kept."""
        return self.session.changed(job, lambda: True)

    def picture(self, session: Session, ppi: float, without: Collection[str] = (),
                part_mm: tuple[float, float, float, float] | None = None) -> BoardPicture:
        """The soft proof of a session's job.

        Parameters
        ----------
        session : Session
            From `session` or `session_on`.
        ppi : float
            Its resolution, `LEAST_PPI` to `MOST_PPI`.
        without : collection of str
            Names of inks that are left off.
        part_mm : tuple of float, optional
            Least x, least y, greatest x, greatest y of what is wanted; all if left out.

        Raises
        ------
        InputProblem
            When the job's art cannot be used.
        NotWanted
            When the session's text is no longer the newest.
        """
        fine = session.at(finest_ppi=max(ppi, CHECK_PPI), proof_ppi=ppi)
        if without:
            whole, grid = _without_inks(fine, without)
        else:
            whole, grid = fine.all_of(PROOF, PROOF_GRID)
        if session.job is self.session.job:
            self._asked = ppi, tuple(without)
        return _cut(whole, grid, part_mm)

    def prepare_picture(self, session: Session) -> None:
        """Make, before it is asked, what the page will ask first, going by what it asked last.

        Faults as in `picture`.
        """
        ppi, without = self._asked
        ppi = min(ppi, _FIRST_PPI)
        session.at(finest_ppi=max(ppi, CHECK_PPI), proof_ppi=ppi).all_of(
            PROOF_TONES, *(() if without else (PROOF,)))

    def ink_need(self, session: Session) -> tuple[InkEstimate, ...]:
        """What each ink needs, from the tones of the films: their dots cover the same area."""
        coarse = session.at(finest_ppi=CHECK_PPI, proof_ppi=CHECK_PPI / 4)
        laid, separation, tones, grid = coarse.all_of(LAID_OUT, PHOTO_TONES, PROOF_TONES,
                                                      PROOF_GRID)
        pixel_mm2 = grid.pixel_mm**2 / np.iinfo(tones.dtype).max
        return tuple(estimate_of(laid, ink, float(plane.sum(dtype=np.float64)) * pixel_mm2,
                                 separation)
                     for ink, plane in zip(session.job.ink, tones, strict=True))

    def found_at_once(self, session: Session) -> FoundNow:
        """Findings that take no time; faults as in `picture`."""
        quick = session.of(QUICK_FINDINGS)
        return FoundNow(job=session.job, findings=quick.findings, pending=bool(quick.pending))

    def found(self, session: Session, look_for_mends: Callable[[], bool]) -> FoundNow:
        """All findings, and what a machine may mend; faults as in `picture`."""
        findings, submission = session.all_of(FINDINGS, SUBMISSION)
        mends = proposed_mends(submission) if look_for_mends() else ()
        return FoundNow(job=session.job, findings=findings, pending=False, mends=mends)

    def loupe(self, session: Session) -> Loupe:
        """The films' own dots; at the first asking the art is separated as fine as films have it.

        Faults as in `picture`.
        """
        fine = session.at(finest_ppi=None)
        windows, sheet, model = fine.all_of(FILM_WINDOWS, FILM_SHEET, WHOLE_MODEL)
        return Loupe(job=session.job, films=windows, sheet=sheet, model=model)

    def _session_of(self, job: Job, revision: int) -> Session:
        return Session(job, finest_ppi=CHECK_PPI, proof_ppi=CHECK_PPI, keep=self.keep,
                       contents=self._contents, wanted=self._wanted(revision))

    def _wanted(self, revision: int) -> Callable[[], bool]:
        return lambda: self._revision == revision


def _photos_of(job: Job) -> frozenset[str]:
    return frozenset(art.file for art in job.art if art.kind == "photo")


def _without_inks(session: Session, names: Collection[str]) -> tuple[NDArray[Any], RasterGrid]:
    tones, models, around, grid, board = session.all_of(
        PROOF_TONES, PROOF_MODELS, PROOF_SURROUNDINGS, PROOF_GRID, BOARD)
    shown = tones.copy()
    for number, ink in enumerate(session.job.ink):
        if ink.name in names:
            shown[number] = 0
    return with_holes(board_proof(shown, models, around), grid, board.fittings), grid


def _cut(whole: NDArray[np.uint8], grid: RasterGrid,
         part_mm: tuple[float, float, float, float] | None) -> BoardPicture:
    """A part of a board's picture, on whole pixels."""
    pixel = grid.pixel_mm
    left_x, top_y = grid.top_x_mm - grid.rows * pixel, grid.left_y_mm
    first_row, end_row, first_column, end_column = 0, whole.shape[0], 0, whole.shape[1]
    if part_mm is not None:
        least_x, least_y, greatest_x, greatest_y = part_mm
        first_column = min(max(int((least_x - left_x) / pixel), 0), end_column - 1)
        end_column = min(max(int((greatest_x - left_x) / pixel) + 1, first_column + 1), end_column)
        first_row = min(max(int((top_y - greatest_y) / pixel), 0), end_row - 1)
        end_row = min(max(int((top_y - least_y) / pixel) + 1, first_row + 1), end_row)
    part = whole[first_row:end_row, first_column:end_column]
    pixels = cv2.cvtColor(np.ascontiguousarray(part), cv2.COLOR_RGB2RGBA)
    return BoardPicture(rows=part.shape[0], columns=part.shape[1], pixels=pixels.tobytes(),
                        left_x_mm=left_x + first_column * pixel,
                        top_y_mm=top_y - first_row * pixel, pixel_mm=pixel)


def small_board(session: Session, ppi: float) -> bytes:
    """A small picture of a variant, PNG: separated no finer than it is shown."""
    proof = session.at(finest_ppi=ppi, proof_ppi=ppi).of(PROOF)
    made, stream = cv2.imencode(".png", cv2.cvtColor(proof, cv2.COLOR_RGB2BGR))
    assert made
    return stream.tobytes()
