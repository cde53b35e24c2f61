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
#: What of one ink is set otherwise to clear its moiré.
Clearing = Literal["ruling", "angle", "mesh angle", "mesh"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearSetting:
    """A setting at which moiré is out of sight, confirmed on a simulated print.

    Attributes
    ----------
    ink : str
        The ink whose setting it is.
    what : {"ruling", "angle", "mesh angle", "mesh"}
        What is set.
    value : float
        Lines per inch, degrees, or of another mesh its threads per cm.
    thread_um : float
        Of another mesh, its thread (µm).
    """

    ink: str
    what: Clearing
    value: float
    thread_um: float = 0.0

    @property
    def told(self) -> str:
        """The setting in words."""
        turn = f"{self.value:g}°".replace("-", "−")
        return {"ruling": f"a ruling of {self.value:g} lpi for {self.ink}",
                "angle": f"{self.ink} at {turn}",
                "mesh angle": f"the mesh of {self.ink} turned to {turn}",
                "mesh": f"a mesh of {self.value:g}/cm, thread {self.thread_um:g} µm, for "
                        f"{self.ink}"}[self.what]


@dataclass(frozen=True, slots=True, kw_only=True)
class MoireFacts:
    """The strongest beat of one ink with its mesh, another ink, its underbase or the photograph.

    Attributes
    ----------
    partner : {"mesh", "ink", "underbase", "photograph"}
        What beats with the ink's dots.
    inks : tuple of str
        The ink; both inks where two beat, with an underbase the ink above it first.
    period_mm, direction_deg : float
        Crest to crest (mm) and the direction across the crests (degrees anticlockwise from the
        board's long axis, 0 to 180).
    contrast : float
        Modulation of luminance, (greatest − least) / (greatest + least).
    times_threshold : float
        That, as a multiple of what the eye just sees at reading distance.
    tone : float
        The film tone (0 to 1) at which it is strongest.
    tones_seen : tuple of float
        The film tones tried at which it would be seen when looked for.
    order : str
        Which harmonics meet.
    mends : tuple of ClearSetting
        Nearest settings that clear it.
    place : Place or None
        Where on the board; None means wherever the tone stands.
    """

    partner: Partner
    inks: tuple[str, ...]
    period_mm: float
    direction_deg: float
    contrast: float
    times_threshold: float
    tone: float
    tones_seen: tuple[float, ...]
    order: str = ""
    mends: tuple[ClearSetting, ...] = ()
    place: Place | None = None


#: How far askew a film lies that was laid with care (degrees). Common practice, no source.
CAREFUL_DEG = 0.1


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
    placed_mm, careful_mm : float
        The shortest period with films askew by up to that, and by 0.1° (mm).
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
    de00: float
    tone: float
    times_threshold: float
    stands_within_deg: float
    length_mm: float
