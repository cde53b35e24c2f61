"""What was measured of recorded tracks and of the cameras that they are seen by."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraFacts:
    """How well a photo's landmarks agree on a camera; no place of any of them is in it.

    Attributes
    ----------
    photo : str
        The photo's file.
    landmarks : int
        How many landmarks the camera rests on.
    noise_px : float
        What a mark misses by in each direction (pixels, one standard deviation).
    worst, worst_px : int, float
        The number, among the job's landmarks from 1, of the one kept that misses most, and by how
        much (pixels).
    wrong, wrong_px : int, float
        The number of the landmark that was left out, 0 for none, and how far it disagrees
        (pixels).
    """

    photo: str
    landmarks: int
    noise_px: float
    worst: int
    worst_px: float
    wrong: int = 0
    wrong_px: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackFacts:
    """One track as it is drawn.

    Attributes
    ----------
    subject, ink : str
        What it is called, and what prints it.
    photo : str
        The photo that it lies on; empty on the plan.
    tolerance_mm : float
        How far the job lets it be moved by smoothing.
    likely_mm, worst_mm : float
        How far it may lie from where it should, by the camera alone, in the mean and at its worst
        place (mm on the board, one standard deviation); 0 on the plan.
    moved_mm, moved_over_mm : float
        How far, and over what length, it was moved to keep clear of other courses.
    gap_mm : float
        The gap that courses keep.
    asked_mm, drawn_mm : float
        Its width as asked for and as drawn.
    seen_mm, hidden_mm : float
        Length of its parts on the photo that are seen, and that the ground hides.
    """

    subject: str
    ink: str
    photo: str
    tolerance_mm: float
    likely_mm: float
    worst_mm: float
    moved_mm: float
    moved_over_mm: float
    gap_mm: float
    asked_mm: float
    drawn_mm: float
    seen_mm: float
    hidden_mm: float
