"""Moiré of a job as measured on simulated prints: for the checks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from preflight.findings import Place

#: Times the eye's threshold from which a beat is told as a note and as a care. The dots of a dark
#: halftone stand 100 to 200 times above it themselves and mask what is much fainter; with these
#: limits meshes of the published ratios to the ruling come out without a care, and those beneath
#: them do not. Own rule, no source.
SEEN_WHEN_LOOKED_FOR = 20.0
PLAINLY_SEEN = 40.0
#: Beats nearer together than this many halftone periods belong to the dots' own texture.
#: Own rule, no source; the rosette of two inks 30° apart has 1.93.
FINEST_BEAT_PERIODS = 2.0

Partner = Literal["mesh", "ink", "underbase", "photograph"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MoireFacts:
    """The strongest beat of one ink with its mesh, another ink, its underbase or the photograph.

    Attributes
    ----------
    partner : {"mesh", "ink", "underbase", "photograph"}
        What beats with the ink's dots.
    subject : str
        The ink, "INK and INK" or "INK on UNDERBASE".
    period_mm, direction_deg : float
        Crest to crest (mm) and the direction across the crests (degrees anticlockwise from the
        board's long axis, 0 to 180).
    contrast : float
        Modulation of luminance, (greatest − least) / (greatest + least).
    times_threshold : float
        That, as a multiple of what the eye just sees at reading distance.
    tone : float
        The film tone (0 to 1) at which it is strongest.
    tones_struck : tuple of float
        The film tones tried at which it would be seen when looked for.
    order : str
        Which harmonics meet.
    mends : tuple of str
        Nearest settings that clear it, each confirmed on a simulated print.
    place : Place or None
        Where on the board; None means wherever the tone stands.
    """

    partner: Partner
    subject: str
    period_mm: float
    direction_deg: float
    contrast: float
    times_threshold: float
    tone: float
    tones_struck: tuple[float, ...]
    order: str = ""
    mends: tuple[str, ...] = ()
    place: Place | None = None


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
