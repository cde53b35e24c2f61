"""Tone value increase: what a film's tone prints as, and the film tone that prints as asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preflight.input_problem import InputProblem

FloatArray = NDArray[np.float64]

_PLANE_TOP = 65535
_FINE_ENTRIES = 4097


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ToneCurve:
    """A monotone curve from film tone to effective printed tone.

    Attributes
    ----------
    name : str
        What the curve is, for reports.
    film, printed : ndarray, shape (N,), float64
        Film tones (0 to 1, rising, first 0, last 1) and what each prints as (0 to 1, never
        falling).
    """

    name: str
    film: FloatArray
    printed: FloatArray

    def printed_tone(self, film_tone: ArrayLike) -> FloatArray:
        """Effective printed tone (0 to 1) of film tones (0 to 1), any shape.

        Notes
        -----
        Source: monotone cubic through the points, Fritsch and Carlson 1980.
        """
        from scipy.interpolate import PchipInterpolator

        asked = np.clip(np.asarray(film_tone, np.float64), 0.0, 1.0)
        return np.clip(PchipInterpolator(self.film, self.printed)(asked), 0.0, 1.0)

    def film_tone(self, printed_tone: ArrayLike) -> FloatArray:
        """Film tone (0 to 1) that prints as asked (0 to 1), any shape; the compensating curve.

        Where several film tones print alike, the largest that still prints nothing stands for
        nothing less than the first tone above it; 0 always asks for 0.
        """
        fine = np.linspace(0.0, 1.0, _FINE_ENTRIES)
        prints = self.printed_tone(fine)
        # keep the last film tone of each flat piece, so that the inverse is single-valued
        keep = np.append(prints[1:] > prints[:-1] + 1e-9, True)
        asked = np.clip(np.asarray(printed_tone, np.float64), 0.0, 1.0)
        found = np.interp(asked, prints[keep], fine[keep])
        return np.where(asked <= 0.0, 0.0, np.where(asked >= prints[-1], 1.0, found))

    def table(self, entries: int) -> FloatArray:
        """Printed tone at ``entries`` evenly spaced film tones from 0 to 1; shape (entries,)."""
        return self.printed_tone(np.linspace(0.0, 1.0, entries))


def tone_curve(film: Sequence[float], printed: Sequence[float], *, name: str = "measured",
               where: str = "tone curve") -> ToneCurve:
    """A curve through measured pairs.

    Parameters
    ----------
    film, printed : sequence of float
        Film tones (0 to 1, rising) and the effective printed tone of each (0 to 1, never
        falling). (0, 0) and (1, 1) are added where they are missing: tones are measured between
        bare stock and the solid (ISO 12647-1), so nothing else can stand there.
    name : str
        What the curve is, for reports.
    where : str
        Where the pairs stand, for the message.

    Raises
    ------
    InputProblem
        When the pairs are no rising curve from 0 to 1.
    """
    asked, prints = np.asarray(film, np.float64), np.asarray(printed, np.float64)
    fault = _fault(asked, prints)
    if fault:
        raise InputProblem(where=where, found=fault,
                           would_do="film tones that rise from 0 to 100 % with printed tones that "
                                    "never fall, 0 at 0 and 100 at 100")
    if asked[0] > 0.0:
        asked, prints = np.append(0.0, asked), np.append(0.0, prints)
    if asked[-1] < 1.0:
        asked, prints = np.append(asked, 1.0), np.append(prints, 1.0)
    return ToneCurve(name=name, film=asked, printed=prints)


def _fault(asked: FloatArray, prints: FloatArray) -> str:
    if asked.ndim != 1 or asked.shape != prints.shape or len(asked) == 0:
        return f"{asked.size} film tones with {prints.size} printed ones"
    if not (np.isfinite(asked).all() and np.isfinite(prints).all()):
        return "a tone that is not a number"
    if min(asked.min(), prints.min()) < 0.0 or max(asked.max(), prints.max()) > 1.0:
        return "a tone outside 0 to 100 %"
    if (np.diff(asked) <= 0.0).any():
        return "film tones that do not rise"
    if (np.diff(prints) < 0.0).any():
        return "printed tones that fall"
    if asked[0] == 0.0 and prints[0] > 0.0:
        return "ink where the film has none"
    if asked[-1] == 1.0 and prints[-1] < 1.0:
        return f"a solid film printed at {prints[-1] * 100:g} %"
    return ""


#: A curve published for a halftone process line in screen printing: highlights lose their
#: dots, the three-quarter tones gain most (+15 at 69 %). Its printed figures are tone values, as a
#: densitometer tells them: `separations.colour.job_inks` makes areas of them.
#: Source: "Half-tone printing process line", article 6566571 of a mesh maker (Sefar). Its row
#: 53 -> 59 prints a gain of +8 beside it, which is a slip: the row itself says +6.
PUBLISHED_SCREEN_CURVE = tone_curve(
    [t / 100 for t in (0, 1, 6, 11, 17, 22, 32, 40, 47, 53, 63, 69, 76, 83, 91, 99, 100)],
    [t / 100 for t in (0, 0, 2, 7, 15, 22, 35, 44, 53, 59, 76, 84, 89, 94, 98, 100, 100)],
    name="published screen curve")
#: Film tones print as they are.
STRAIGHT_CURVE = tone_curve([0.0, 1.0], [0.0, 1.0], name="straight")
