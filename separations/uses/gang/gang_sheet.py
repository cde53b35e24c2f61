"""A gang sheet (TOML): which jobs share a film, and where each lies, read once."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal

from preflight.input_problem import InputProblem
from preflight.job_file import job_values as v
from preflight.job_file.typed_toml import read_typed_toml
from preflight.units import Angle, Length

_MOST_PIECES = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceTable:
    """``[[piece]]``: a job, and where its printed area's box lies on the film.

    ``from_nose`` and ``from_left`` count in print size from the upper left corner of the gang as
    the film is seen nose up; without them it is laid by itself. ``turn`` is 0 or 180: by any
    other angle the halftone would stand wrong to the mesh.
    """

    job: v.Text
    from_nose: v.FilmPlace | None = None
    from_left: v.FilmPlace | None = None
    turn: v.AngleValue = Angle(0.0, "0°")

    @property
    def is_turned(self) -> bool:
        """Whether its nose points to the film's tail."""
        return self.turn.deg % 360.0 == 180.0


@dataclass(frozen=True, slots=True, kw_only=True)
class GangSheet:
    """A gang sheet.

    Attributes
    ----------
    title, date
        Printed on the films.
    piece : tuple of PieceTable
        In the order of the label.
    gap : Length
        Least free film between pieces that are laid by themselves.
    lay : str
        Whether pieces are laid side by side first, or one behind the other.
    pins : tuple
        Where pins hold film and screen, from the middle of all pieces: towards the film's nose
        edge, then to the left.
    path : Path
        The file itself; jobs are found beside it.
    """

    title: v.Text
    date: datetime.date
    piece: tuple[PieceTable, ...]
    gap: v.SmallLength = Length(10.0, "10 mm")
    lay: Literal["across", "along"] = "across"
    pins: v.Pins = ()
    path: Path = field(default=Path("gang.toml"))

    @property
    def is_placed(self) -> bool:
        """Whether the sheet says where each piece lies."""
        return self.piece[0].from_nose is not None


def read_gang_sheet(path: Path) -> GangSheet:
    """Read and check a gang sheet.

    Raises
    ------
    InputProblem
        When the file cannot be read, or a key is missing, misspelt, out of range, or at odds with
        another.
    """
    sheet = replace(read_typed_toml(path, GangSheet, what="a gang sheet",
                                    first_line='title = "Two boards"', not_keys=("path",)),
                    path=path)
    if not 1 <= len(sheet.piece) <= _MOST_PIECES:
        raise InputProblem(where=f"{path}: piece", found=f"{len(sheet.piece)} pieces",
                           would_do=f"1 to {_MOST_PIECES} tables headed [[piece]]")
    for number, piece in enumerate(sheet.piece, 1):
        where = f"{path}: piece[{number}]"
        if piece.turn.deg % 180.0:
            raise InputProblem(where=f"{where}.turn", found=f"'{piece.turn.written}'",
                               would_do="0 or 180")
        if (piece.from_nose is None) != (piece.from_left is None):
            missing = "from_nose" if piece.from_nose is None else "from_left"
            raise InputProblem(where=f"{where}.{missing}", found="nothing",
                               would_do="both of 'from_nose' and 'from_left', or neither,")
        if (piece.from_nose is not None) != sheet.is_placed:
            raise InputProblem(where=where, found="a place on some pieces and none on others",
                               would_do="'from_nose' and 'from_left' on all pieces, or on none,")
    return sheet
