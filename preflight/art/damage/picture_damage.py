"""What is wrong with a damaged picture, how much of it, and where."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from preflight.input_problem import InputProblem

#: Left, upper, right and lower edge as shares (0 to 1) of the stored picture's width and height.
Box = tuple[float, float, float, float]
WHOLE: Box = (0.0, 0.0, 1.0, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureDamage:
    """Damage of one picture file.

    Attributes
    ----------
    says : str
        What was found, to follow "it is damaged:".
    share : float or None
        How much of the picture may be wrong, 0 to 1; None where nothing tells.
    box : tuple of float
        Where, as shares of the stored picture (before EXIF orientation).
    is_told : bool
        Whether the file itself tells (a checksum, a missing part, a decoder's warning); else its
        pixels look so.
    """

    says: str
    share: float | None = None
    box: Box = WHOLE
    is_told: bool = True

    @property
    def share_told(self) -> str:
        """The share in words."""
        if self.share is None:
            return "an unknown part of it"
        if self.share >= 0.995:
            return "all of it"
        percent = 100 * self.share
        return f"{percent:.0f} % of it" if percent >= 1 else "less than 1 % of it"


def from_row(row: float, rows: int, says: str, *, is_told: bool = True) -> PictureDamage:
    """Damage of all that lies at and below a row."""
    top = min(max(row / rows, 0.0), 1.0) if rows > 0 else 0.0
    return PictureDamage(says=says, share=1.0 - top, box=(0.0, top, 1.0, 1.0),
                         is_told=is_told)


def damaged_picture(path: Path, damage: PictureDamage) -> InputProblem:
    """The `InputProblem` of a picture that is not as it was saved."""
    where = "" if damage.box == WHOLE or damage.share is None else (
        f"; {damage.share_told}, from {100 * damage.box[1]:.0f} % of its height downwards")
    return InputProblem(
        where=str(path), found=f"a damaged picture ({damage.says}{where})",
        would_do="the picture as it was first saved, or accept_damage = true for this artwork,")
