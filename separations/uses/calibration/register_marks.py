"""Marks on the test sheet that tell how each ink lies to the first.

Four squares in two rows: the first ink prints those on one diagonal, another ink those on the
other. Where both lie in register the four stand on one square; how far the middles of the pairs
are apart is how far the inks are, whatever the picture's scale, turn or bend there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from separations.uses.calibration.patches import Patch

#: Side of a square, and the bare wood between two (mm): inks that lie 0.6 mm apart do not touch.
#: Own rule.
SQUARE_MM = 1.9
APART_MM = 1.0
#: Columns of patches above whose right end one stands: those that have no other mark.
REGISTER_COLUMNS = (1, 3, 6, 8, 11, 13)


@dataclass(frozen=True, slots=True, kw_only=True)
class RegisterMark:
    """One mark: the patch above which it stands, and the ink that it holds to the first."""

    row: int
    column: int
    ink: int


def register_marks(patches: Sequence[Patch]) -> tuple[RegisterMark, ...]:
    """The sheet's register marks, row by row; none where there is one ink.

    They stand above the first row of each wedge and above overprints; the inks take turns, so
    that each has its marks all over the sheet.
    """
    others = len(patches[0].percent) - 1
    if not others:
        return ()
    wedges = {patch.row for patch in patches if patch.kind == "wedge"}
    rows = [row for row in sorted({patch.row for patch in patches})
            if row not in wedges or row % 2 == 0]
    return tuple(RegisterMark(row=row, column=column, ink=1 + (k + turn) % others)
                 for turn, row in enumerate(rows) for k, column in enumerate(REGISTER_COLUMNS))


def squares_mm(*, first_ink: bool) -> tuple[tuple[float, float], tuple[float, float]]:
    """Upper left corners of an ink's two squares, to the right and down from the mark's own."""
    far = SQUARE_MM + APART_MM
    return ((0.0, 0.0), (far, far)) if first_ink else ((far, 0.0), (0.0, far))
