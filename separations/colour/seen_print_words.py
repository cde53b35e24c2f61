"""What was seen of an ink's print, in sentences."""

from __future__ import annotations

from collections.abc import Iterator

from preflight.press.seen_print import SeenPrint, SeenRegister
from preflight.press.stencil_exposure import WANTED_STEP, step_factor

#: A shift less than this (mm) is told as none.
_NO_SHIFT_MM = 0.005


def seen_print_told(name: str, seen: SeenPrint) -> Iterator[str]:
    """A sentence for each thing that was seen of an ink."""
    if seen.register:
        yield _register_told(name, seen.register)
    parts = [*_dots_told(seen), *_holes_told(seen)]
    if parts:
        yield f"{name} {', '.join(parts)} (counted dot by dot)."


    if seen.exposure_step is not None:
        yield _exposure_told(name, seen.exposure_step)


def _exposure_told(name: str, step: int) -> str:
    held = f"held step {step}" if step else "held no step"
    if step >= WANTED_STEP:
        return f"The stencil of {name} {held} of the exposure scale; {WANTED_STEP} is wanted."
    longer = step_factor(max(step, 1), WANTED_STEP)
    return (f"The stencil of {name} {held} of the exposure scale; {WANTED_STEP} is wanted, "
            f"which takes about {longer:.0f} times the light or more.")


def _dots_told(seen: SeenPrint) -> Iterator[str]:
    if seen.smallest_tone is not None:
        yield f"holds dots of {100 * seen.smallest_tone:g} %"
    if seen.lost_tone is not None:
        yield f"loses dots of {100 * seen.lost_tone:g} %"


def _holes_told(seen: SeenPrint) -> Iterator[str]:
    if seen.largest_tone is not None:
        yield f"keeps holes of {100 * seen.largest_tone:g} % open"
    if seen.closed_tone is not None:
        yield f"closes holes of {100 * seen.closed_tone:g} %"


def _register_told(name: str, seen: SeenRegister) -> str:
    ways = [f"{abs(mm):.2f} mm {plus if mm > 0 else minus}" for mm, plus, minus in (
        (seen.along_mm, "towards the nose", "towards the tail"),
        (seen.across_mm, "to the left", "to the right")) if abs(mm) >= _NO_SHIFT_MM]
    where = f"{' and '.join(ways)} of {seen.to}" if ways else f"on {seen.to} without a shift"
    turn = ("" if not seen.turn_shows else
            f"; it is turned {abs(seen.turn_deg):.3f}° "
            f"{'anticlockwise' if seen.turn_deg > 0 else 'clockwise'} "
            f"(±{seen.turn_within_deg:.3f}°)")
    within = max(seen.within_mm, 0.01)
    return (f"{name} lies {where} in the middle of the test sheet, each way ±{within:.2f} mm nine "
            f"times in ten{turn}.")
