"""The rosette of three inks, and how it drifts when films lie a little askew: for the checks."""

from __future__ import annotations

from dataclasses import dataclass

#: Film placements (degrees) that the drift is told for besides the job's own: a film laid with
#: care, and one laid by eye. Common practice, no source.
CAREFUL_DEG, BY_EYE_DEG = 0.1, 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class RosetteFacts:
    """Three halftones whose rows close to a triangle, so that their rosette may drift.

    Attributes
    ----------
    inks : tuple of str
        The three.
    told : str
        Which of their rows beat, in words.
    period_mm : float
        Period of their common beat as the job sets the angles (mm); infinite where the rosette
        stands still.
    direction_deg : float
        Across its bands, 0 to 180 degrees; 0 where it stands still.
    placement_deg : float
        By how much a film may lie askew: the job's placement over the board's length (degrees).
    placed_mm, careful_mm, by_eye_mm : float
        The shortest period with films askew by up to that, by 0.1° and by 0.5° (mm).
    de00 : float
        CIEDE2000 between the two ends of the drift, in the tints where it is greatest.
    tone : float
        Those tints (0 to 1).
    times_threshold : float
        Multiples of what the eye just sees in lightness, as the angles are set; 0 where still.
    stands_within_deg : float
        How little askew films must lie for less than half a period over the board's length;
        0 where the angles themselves let it drift more.
    length_mm : float
        The board's length (mm).
    """

    inks: tuple[str, str, str]
    told: str
    period_mm: float
    direction_deg: float
    placement_deg: float
    placed_mm: float
    careful_mm: float
    by_eye_mm: float
    de00: float
    tone: float
    times_threshold: float
    stands_within_deg: float
    length_mm: float
