"""A map of ruling by angle: where a halftone beats with a cloth, and where the job stands in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.facts.moire_facts import PLAINLY_SEEN, SEEN_WHEN_LOOKED_FOR
from preflight.press.grating_beats import gap_between_deg
from preflight.press.halftone_spec import DotShape
from preflight.press.mesh import Mesh
from preflight.units import MM_PER_INCH
from separations.measuring.moire.beat_strength import CLOTH_DRIFT, beats_at_angles, light_of_cover
from separations.measuring.moire.mesh_moire import TintInk

#: Tones of which the map shows the worst.
_TONES = (0.5, 0.85)
_RULINGS = 41
#: Size of letters in the picture: read on a phone, where it is shrunk to half.
_LETTERS = 0.85
_ANGLES = 31
#: What the key of colours takes beneath the map (px).
_KEY_HIGH = 116
#: Colours at these multiples of the limits: unseen, seen when looked for, plainly, glaring.
_STOPS = np.array([0.0, 0.5, 1.0, PLAINLY_SEEN / SEEN_WHEN_LOOKED_FOR, 6.0])
_COLOURS = np.array([[238, 242, 232], [222, 230, 208], [240, 208, 132], [206, 108, 58],
                     [88, 22, 34]], float)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MoireMap:
    """How far above the eye's threshold a black tint's strongest beat stands.

    Attributes
    ----------
    rulings_lpcm : NDArray of float64, shape (R,)
        Rising.
    angles_deg : NDArray of float64, shape (A,)
        Angle to the threads, 0 to 45; all others are mirror images.
    times_threshold : NDArray of float64, shape (R, A)
        Over the tones tried, the strongest beat.
    period_mm : NDArray of float64, shape (R, A)
        Its period.
    """

    rulings_lpcm: NDArray[np.float64]
    angles_deg: NDArray[np.float64]
    times_threshold: NDArray[np.float64]
    period_mm: NDArray[np.float64]


def moire_map(shape: DotShape, mesh: Mesh, *, least_lpcm: float, most_lpcm: float,
              wood_y: float, solid_y: float, rulings: int = _RULINGS) -> MoireMap:
    """Reckon the map by spectra.

    Parameters
    ----------
    shape : DotShape
        A periodic shape.
    mesh : Mesh
        The cloth.
    least_lpcm, most_lpcm : float
        Ends of the rulings (lines per cm).
    wood_y, solid_y : float
        Luminous reflectance beneath and of the solid (1 = white).
    rulings : int
        Steps from end to end.
    """
    lpcm = np.linspace(least_lpcm, most_lpcm, rulings)
    angles = np.linspace(0.0, 45.0, _ANGLES)
    times = np.zeros((rulings, _ANGLES))
    period = np.zeros((rulings, _ANGLES))
    columns = np.arange(_ANGLES)
    for row, ruling in enumerate(lpcm):
        for tone in _TONES:
            beats = beats_at_angles(shape, float(ruling), tone, mesh, angles)
            seen = beats.times_threshold(light_of_cover(tone, wood_y, solid_y),
                                         cloth_drift=CLOTH_DRIFT)
            best = seen.argmax(axis=1)
            strongest = seen[columns, best]
            new = strongest > times[row]
            vector = beats.per_mm[columns, best]
            long = 1 / np.maximum(np.hypot(vector[:, 0], vector[:, 1]), 1e-6)
            period[row] = np.where(new, long, period[row])
            times[row] = np.maximum(times[row], strongest)
    return MoireMap(rulings_lpcm=lpcm, angles_deg=angles, times_threshold=times, period_mm=period)


def map_picture(made: MoireMap) -> NDArray[np.uint8]:
    """The map as pixels, shape (R, A, 3), the finest ruling on top, one pixel a setting."""
    return _coloured(made.times_threshold[::-1])


def _coloured(times_threshold: NDArray[np.float64]) -> NDArray[np.uint8]:
    share = times_threshold / SEEN_WHEN_LOOKED_FOR
    return np.dstack([np.interp(share, _STOPS, _COLOURS[:, c]) for c in range(3)]).astype(np.uint8)


def moire_map_png(made: MoireMap, inks: Sequence[TintInk], *, pixels: int = 16) -> bytes:
    """The map drawn with its scales and the job's inks marked, as PNG.

    Parameters
    ----------
    made : MoireMap
        The map.
    inks : sequence of TintInk
        The inks to mark, by the first two letters of their names.
    pixels : int
        Side of one setting.
    """
    picture = np.kron(map_picture(made), np.ones((pixels, pixels, 1), np.uint8))
    left, below, above, right = 104, 96, 50, 24
    page = np.full((picture.shape[0] + below + above + _KEY_HIGH,
                    picture.shape[1] + left + right, 3), 255, np.uint8)
    foot = above + picture.shape[0]
    page[above:above + picture.shape[0], left:left + picture.shape[1]] = picture
    low, high = made.rulings_lpcm[0], made.rulings_lpcm[-1]

    def x_of(angle: float) -> int:
        return left + round((angle / 45.0 * (_ANGLES - 1) + 0.5) * pixels)

    def y_of(lpcm: float) -> int:
        share = (high - lpcm) / (high - low)
        return above + round((float(share) * (len(made.rulings_lpcm) - 1) + 0.5) * pixels)

    for angle in (0.0, 7.5, 15.0, 22.5, 30.0, 37.5, 45.0):
        _write(page, f"{angle:g}", (x_of(angle) - 10 * len(f"{angle:g}") + 4,
                                    foot + 34))
        page[foot:foot + 5, x_of(angle)] = 60
    _write(page, "angle to the threads, degrees", (left + 40, foot + below - 18))
    _draw_key(page, foot + below, left, picture.shape[1])
    _write(page, "lpi", (12, above - 16))
    for lpi in range(20, 160, 5):
        lpcm = lpi * 10 / MM_PER_INCH
        if low <= lpcm <= high:
            _write(page, f"{lpi}", (40, y_of(lpcm) + 9))
            page[y_of(lpcm), left - 5:left] = 60
    places: dict[tuple[int, int], list[str]] = {}
    for ink in inks:
        turn = gap_between_deg(ink.spec.angle_deg, ink.mesh.angle_deg)
        places.setdefault((x_of(turn), y_of(ink.spec.ruling_lpcm)), []).append(ink.name[:12])
    for number, (place, names) in enumerate(sorted(places.items())):
        _mark(page, place, ", ".join(names), above=number % 2 == 0)
    done, coded = cv2.imencode(".png", page[:, :, ::-1])
    assert done
    return coded.tobytes()


def _draw_key(page: NDArray[np.uint8], top: int, left: int, wide: int) -> None:
    """The map's colours in a bar, with the figures that they stand for."""
    most = _STOPS[-1] * SEEN_WHEN_LOOKED_FOR
    bar = _coloured(np.linspace(0.0, most, wide)[None, :])
    page[top + 8:top + 34, left:left + wide] = bar
    cv2.rectangle(page, (left, top + 8), (left + wide - 1, top + 33), (60, 60, 60), 1)
    for times in (0.0, SEEN_WHEN_LOOKED_FOR, PLAINLY_SEEN, most):
        x = left + round(times / most * (wide - 1))
        page[top + 34:top + 40, x] = 60
        wide_word = cv2.getTextSize(f"{times:g}", cv2.FONT_HERSHEY_SIMPLEX, _LETTERS, 2)[0][0]
        _write(page, f"{times:g}", (min(x - wide_word // 2, page.shape[1] - wide_word - 2),
                                    top + 66))
    _write(page, "times the eye's threshold", (left + 40, top + 100))


def told(made: MoireMap, mesh: Mesh, shape: str) -> str:
    """The line beneath the map."""
    clear = float(np.mean(made.times_threshold < SEEN_WHEN_LOOKED_FOR))
    return (f"How strongly {shape} dots of the darkest ink make moiré with the mesh of "
            f"{mesh.threads_per_cm:g}/cm, thread {mesh.thread_um:g} µm, by ruling and angle. "
            f"Below {SEEN_WHEN_LOOKED_FOR:g} times the eye's threshold the dots hide it; from "
            f"{PLAINLY_SEEN:g} times it shows plainly. "
            f"{clear * 100:.0f} % of these settings are clear. Rings mark the job's inks.")


def _mark(page: NDArray[np.uint8], place: tuple[int, int], name: str, *, above: bool) -> None:
    cv2.circle(page, place, 9, (255, 255, 255), 5, cv2.LINE_AA)
    cv2.circle(page, place, 9, (20, 20, 20), 2, cv2.LINE_AA)
    (wide, _), _ = cv2.getTextSize(name, cv2.FONT_HERSHEY_SIMPLEX, _LETTERS, 1)
    left = min(max(place[0] - wide // 2, 4), page.shape[1] - wide - 4)
    _write(page, name, (left, place[1] + (-18 if above else 40)), halo=True)


def _write(page: NDArray[np.uint8], text: str, place: tuple[int, int], *,
           halo: bool = False) -> None:
    plain = text.encode("ascii", "replace").decode()
    if halo:
        cv2.putText(page, plain, place, cv2.FONT_HERSHEY_SIMPLEX, _LETTERS, (255, 255, 255), 6,
                    cv2.LINE_AA)
    cv2.putText(page, plain, place, cv2.FONT_HERSHEY_SIMPLEX, _LETTERS, (20, 20, 20), 2,
                cv2.LINE_AA)
