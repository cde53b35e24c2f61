"""What beats with what, in words that can be seen on a film and on a frame."""

from __future__ import annotations

from collections.abc import Sequence


def beat_told(dot_order: Sequence[int], cloth_halves: Sequence[int]) -> str:
    """A beat by its two partners.

    Parameters
    ----------
    dot_order : sequence of int
        The halftone's harmonic, along and across its angle.
    cloth_halves : sequence of int
        The cloth's, in halves of its count.
    """
    dots = _rows(dot_order, "the rows of dots", "the dots' diagonal rows", "slanting rows of dots")
    if any(half % 2 for half in cloth_halves):
        cloth = "the threads' over and under"
    else:
        cloth = _rows([half // 2 for half in cloth_halves], "the threads",
                      "the threads' diagonals", "slanting rows of mesh openings")
    return f"{dots} against {cloth}"


def dots_told(order: Sequence[int], ink: str) -> str:
    """One halftone's part in a beat of two inks."""
    return _rows(order, f"{ink}'s rows of dots", f"{ink}'s diagonal rows",
                 f"slanting rows of {ink}'s dots")


def _rows(order: Sequence[int], plain: str, diagonal: str, slanting: str) -> str:
    """Rows of a lattice: its own, its diagonals, or others; finer ones as so many to a row."""
    least, most = sorted(abs(int(n)) for n in order)
    if least in (0, most):
        name = diagonal if least else plain
        return name if most == 1 else f"{name} ({_times(most)} as fine)"
    return f"{slanting} ({most} along, {least} across)"


def _times(number: int) -> str:
    return {2: "twice", 3: "three times", 4: "four times"}.get(number, f"{number} times")
