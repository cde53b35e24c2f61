"""Every limit that the checks hold figures against, with where it comes from.

A limit that a job or a maker sets wins wherever there is one; what stands here are the defaults of
the trade. Rows say plainly when nobody published them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from preflight.findings import Figure, at_least


class Basis(Enum):
    """What a limit rests on."""

    PUBLISHED = "published"
    PRACTICE = "common practice, no source"
    MEMORY = "from memory, unverified"
    OWN = "own rule, no source"
    GEOMETRY = "geometry"
    JOB = "the job or the product's data sheet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One limit.

    Attributes
    ----------
    name : str
        What is limited, in words.
    value : float
        The limit, in ``unit``.
    unit : str
        As findings show it.
    basis : Basis
        What it rests on.
    told : str
        The source, or what is to be said of it.
    """

    name: str
    value: float
    unit: str
    basis: Basis
    told: str

    @property
    def source(self) -> str:
        """The limit's source in one line, its basis included unless it is published."""
        if self.basis in (Basis.PUBLISHED, Basis.JOB):
            return self.told
        return f"{self.told}; {self.basis.value}" if self.told else self.basis.value

    @property
    def figure(self) -> Figure:
        """The limit as findings hold it."""
        return Figure(value=self.value, unit=self.unit)

    @property
    def least(self) -> Figure:
        """The limit as findings hold it, where figures are not to fall below it."""
        return at_least(self.value, self.unit)


def _limit(name: str, value: float, unit: str, basis: Basis, told: str = "") -> Limit:
    return Limit(name=name, value=value, unit=unit, basis=basis, told=told)


_SEFAR = "Sefar, \"Questions about half-tone printing\""
_RATIOS = f"{_SEFAR} (2.50, 3.75 or 5.00 : 1); Coudray, screenweb.com 2003 (at least 3.5 to 4 : 1)"
_PIXELS = ("trade rule, 1.5 to 2 pixels per line at final size; a prepress text gives 1.25 "
           "(economy) to 2 (360docs)")
_HANDBOOKS = "trade handbooks"

THREADS_PER_LINE = _limit("threads of the mesh per halftone line", 3.5, "threads per line",
                          Basis.PUBLISHED, _RATIOS)
LEAST_THREADS_PER_LINE = _limit("threads per line below which films are waste", 2.5,
                                "threads per line", Basis.PUBLISHED, _RATIOS)
TONE_STEPS = _limit("tone steps of a halftone cell on the film", 150, "steps", Basis.PUBLISHED,
                    "ISO 12647-9:2021, 4.2.2")
LEAST_TONE_STEPS = _limit("tone steps below which films are waste", 50, "steps", Basis.OWN)
SMALLEST_DOT = _limit(
    "smallest dot or hole", 1.0, "mesh pitches", Basis.MEMORY,
    f"one mesh pitch, opening + thread: a dot so wide always meets a thread ({_HANDBOOKS})")
FINEST_LINE = _limit("finest line or gap", 3.0, "thread diameters", Basis.MEMORY,
                     f"three thread diameters for a line ({_HANDBOOKS}: 2 to 3)")
TONE_ENDS = _limit("area beyond the smallest and largest dots", 2.0, "% of the area", Basis.OWN,
                   "more than this is seen as a lost or filled tone")
TONE_LOST = _limit("tone lost with dots or holes that the mesh does not hold", 1.0, "% of tone",
                   Basis.OWN, "a step of 1 % is about the least that is seen side by side")
THIN_LENGTH = _limit("length of lines finer than the mesh holds", 2.0, "mm too narrow", Basis.OWN,
                     "less is a matter of a few tips")
FAINT_LINES = _limit("strokes and gaps that do not appear on the film", 1.0, "mm lost", Basis.OWN,
                     "the film prints from half coverage on")
CURVE_READINGS = _limit("readings of a tone curve", 10, "readings", Basis.PUBLISHED,
                        "Sefar, \"Half-tone printing process line\": at least 10 steps")
PROFILE_FITS = _limit("mesh count and ruling off those of the press profile", 2.0, "%", Basis.OWN,
                      "a curve holds for the mesh and ruling that it was measured with; "
                      "a maker's count is within about so much")
PROFILE_THREAD = _limit("mesh thread off that of the press profile", 10.0, "%", Basis.OWN,
                        "makers' nominal threads of one cloth differ by a µm or two")
PIXELS_PER_LINE = _limit("photo pixels per halftone line", 1.5, "px per line", Basis.PUBLISHED,
                         _PIXELS)
FILTER_MARKS = _limit(
    "marks of a noise filter in weak texture", 1.0, "marks (own scale)", Basis.OWN,
    "no untouched test picture reaches it, a third to a half of the filtered ones do")
OUT_OF_REACH = _limit("area that misses the colour aimed at", 5.0, "% of the area", Basis.OWN,
                      "a colour is missed visibly from ΔE00 2 on")
ANGLE_TO_MESH = _limit(
    "angle of dot rows to threads or their diagonal", 7.0, "°", Basis.PUBLISHED,
    f"{_SEFAR}: worst at 0, 45 and 90° to the threads; its set 7.5 / 22.5 / 52.5 / 82.5 keeps 7.5°")
ANGLE_BETWEEN_INKS = _limit(
    "angle between dark inks (15° from a light one)", 30.0, "°", Basis.MEMORY,
    "ISO 12647-2:2004, 4.2.2.3; Sefar's set has gaps of 15, 30, 30 and 15°")
BEAT_ORDER = _limit("lowest order of a beat that may be seen", 5, "th order", Basis.OWN,
                    "frequency vectors of low harmonics")
ROSETTE_DRIFT = _limit("colour that moves with the rosette of three inks", 2.0, "ΔE00", Basis.OWN,
                       "a slow change over a board shows less than a step side by side")
TONE_SUM = _limit(
    "sum of tone values", 300.0, "%", Basis.MEMORY,
    "ISO 12647-2:2004, 4.2.3 (350 and 300 % in offset) and 240 to 280 % for UV screen inks")
HEAT_RESERVE = _limit("heat limit of an ink over the press", 10.0, "°C to spare", Basis.OWN,
                      "the job's figures; 10 °C of reserve")
FREE_ENDS = _limit("free mesh at the ends", 100.0, "mm", Basis.MEMORY,
                   "trade: 100 to 150 mm at the squeegee's ends; the job's [frame] table wins")
FREE_SIDES = _limit("free mesh at the sides", 75.0, "mm", Basis.MEMORY,
                    "trade: 75 to 100 mm at the sides; the job's [frame] table wins")
BARE_AREA = _limit("printed area without art", 1.0, "mm² bare", Basis.GEOMETRY)
PHOTO_SHOWS = _limit("share of a photo that shows", 50.0, "% of the photo", Basis.OWN,
                     "where a quarter turn would show at least half as much again")
TURN_SHOWS = _limit("what a quarter turn shows over what shows now", 1.5, "times as much",
                    Basis.OWN)
SEE_THROUGH = _limit("area where the photograph is transparent", 0.05, "% of the area", Basis.OWN,
                     "bare wood may be wanted, an empty film is waste")
BEYOND_SAFE = _limit("drawing beyond the safe area", 2.0, "mm²", Basis.OWN,
                     "the margin itself is the job's")
NOTE_BEYOND_SAFE = _limit("note beyond the safe area", 0.01, "mm²", Basis.OWN,
                          "any part of a letter; the margin itself is the job's")
REGISTER_SHARE = _limit("register error over the trap that hides it", 1.0, "of the trap",
                        Basis.GEOMETRY, "an error wider than the trap shows wood")
REGISTER_STABLE = _limit("register on stable sheet", 0.2, "mm", Basis.MEMORY,
                         "trade: ±0.1 to 0.2 mm on stable sheet, ±0.3 to 0.5 mm on long veneer")
REGISTER_LONG = _limit("register on long wood veneer", 0.5, "mm", Basis.MEMORY,
                       "trade: ±0.3 to 0.5 mm on long veneer")
OFF_CONTACT_LEAST = _limit("least off-contact", 1.6, "mm", Basis.PUBLISHED,
                           "printwiki, \"Off-Contact Printing\": 1/16 to 1/8 in, now and then "
                           "3/8 to 1/2 in")
OFF_CONTACT_MOST = _limit("greatest usual off-contact", 3.2, "mm", Basis.PUBLISHED,
                          "printwiki, \"Off-Contact Printing\": 1/16 to 1/8 in, now and then "
                          "3/8 to 1/2 in")
OFF_CONTACT_EVER = _limit("greatest off-contact ever used", 12.7, "mm", Basis.PUBLISHED,
                          "printwiki, \"Off-Contact Printing\": now and then 3/8 to 1/2 in")
OFF_CONTACT_STRETCH = _limit("mesh stretch by the off-contact gap", 0.1, "mm", Basis.OWN,
                             "geometry gives the stretch; it takes no more than a tenth of a mm "
                             "of register")
SQUEEGEE_BESIDE = _limit("squeegee past the image at each end", 10.0, "mm", Basis.MEMORY,
                         "trade: 10 to 25 mm wider than the image at each side")
SQUEEGEE_TO_FRAME = _limit("squeegee clear of the frame at each end", 75.0, "mm", Basis.MEMORY,
                           "trade: 75 to 100 mm of free mesh at the sides")
HIDING_OPACITY = _limit("opacity from which a late ink hides what is beneath", 0.5,
                        "contrast ratio", Basis.OWN,
                        "full hiding is a contrast ratio of 0.98 (ISO 6504-1)")
LIGHT_TO_DARK = _limit("lightness by which a later ink may be lighter", 10.0, "L*",
                       Basis.PRACTICE, "light inks first, dark ones over them")
INK_HEIGHT = _limit("wet ink on each other at one place", 60.0, "µm", Basis.OWN,
                    "the job's [press] table; the resin's bond and the inks' cure in depth decide, "
                    "so their data sheets win; the default of 60 µm")
WAITING_HITS = _limit("hits that wait for ink to dry in air", 0, "hits that wait",
                      Basis.PRACTICE, "the inks' data sheets decide")
INKS_MEET = _limit("area where inks meet that must not", 4.0, "mm²", Basis.JOB,
                   "the job's not_over; a few pixels of the grid are let pass")
STANDS_OUT = _limit("difference in lightness of a drawing or note from its ground", 15.0, "L*",
                    Basis.OWN, "along all but a tenth of its outline; hue counts for little in "
                    "thin lines and small letters")
DRY_FOR_SANDING = _limit("dry ink left by a light sanding", 3.0, "µm", Basis.OWN)
SANDING_TAKES = _limit("what a light sanding takes", 5.0, "µm", Basis.OWN,
                       "P400 paper, a few strokes by hand: try it on a strip first")


def all_limits() -> tuple[Limit, ...]:
    """Every limit of this module, in its order."""
    return tuple(value for value in globals().values() if isinstance(value, Limit))
