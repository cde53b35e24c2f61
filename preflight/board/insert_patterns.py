"""Where a board's binding inserts stand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

InsertPattern = Literal["4x2", "4x4"]
#: Between the two rows; and from hole to hole along a row (mm).
#: Source: coolwintergear.com and mlstepsnow.com FAQ 219 (insert patterns), the-house.com 2023.
ROWS_APART_MM = 40.0
ALONG_MM: dict[InsertPattern, float] = {"4x2": 20.0, "4x4": 40.0}
#: Holes in a row for one foot, from the same sources ("about").
HOLES_IN_ROW: dict[InsertPattern, int] = {"4x2": 6, "4x4": 3}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InsertPack:
    """One foot's inserts.

    Attributes
    ----------
    foot : str
        ``front`` (towards the nose) or ``rear``.
    centre_mm : NDArray of float64, shape (2,)
        Its middle (x, y).
    holes_mm : NDArray of float64, shape (N, 2)
        Centres of its holes: the row at +y from tail to nose, then the row at -y.
    """

    foot: Literal["front", "rear"]
    centre_mm: NDArray[np.float64]
    holes_mm: NDArray[np.float64]


def insert_packs(pattern: InsertPattern, *, stance_mm: float, set_back_mm: float,
                 holes_in_row: int | None = None) -> tuple[InsertPack, InsertPack]:
    """Both feet's inserts on the centre line.

    Parameters
    ----------
    pattern : InsertPattern
        Two rows of holes 40 mm apart; along a row 40 mm (``4x4``) or 20 mm (``4x2``).
    stance_mm : float
        Between the packs' middles (mm).
    set_back_mm : float
        From mid-length to the middle of the stance, towards the tail (mm).
    holes_in_row : int, optional
        In each row of one foot, at least 2.
    """
    count = holes_in_row or HOLES_IN_ROW[pattern]
    along = (np.arange(count) - (count - 1) / 2) * ALONG_MM[pattern]
    across = np.repeat([ROWS_APART_MM / 2, -ROWS_APART_MM / 2], count)
    offsets = np.column_stack([np.tile(along, 2), across])
    front, rear = (np.array([side * stance_mm / 2 - set_back_mm, 0.0]) for side in (1, -1))
    return (InsertPack(foot="front", centre_mm=front, holes_mm=front + offsets),
            InsertPack(foot="rear", centre_mm=rear, holes_mm=rear + offsets))
