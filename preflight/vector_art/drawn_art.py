"""Drawings, flat colours, lines and notes as areas of ink on the board."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import Literal

from shapely import Polygon, STRtree, union_all

from preflight.board.area_mask import Area
from preflight.vector_art.lettering import SetLetter
from preflight.vector_art.ring_area import as_area
from preflight.vector_art.svg_drawing import Painted

#: A drawing's paint that is no ink: it takes away what the drawing has beneath it.
PAPER = "#ffffff"
#: From so many changes of ink on each mark is looked at by itself, which costs no more for many.
_MANY_RUNS = 50
#: Marks looked at to see how many others each of them meets, and from how many on they are crowded.
_SAMPLED, _CROWDED = 60, 60


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnArt:
    """What one drawing, line or note prints in one ink.

    Attributes
    ----------
    subject : str
        What findings call it: its file, or its words.
    kind : str
        ``drawing``, ``flat``, ``line``, ``track``, ``plan`` or ``note``.
    order : int
        Place among all that is laid on the board, from 0: first the job's art, then its lines,
        its tracks, what belongs to its plan, and its notes.
    ink : str
        The ink that prints it.
    tint : float
        Tone value, 0 to 1; below 1 it is screened.
    knocks_out : bool
        Whether what lies beneath is cleared; else it is overprinted.
    area : Polygon or MultiPolygon
        In board mm, not yet cut to the printed area.
    letters : tuple of SetLetter
        The letters in it, in board mm.
    cut_letters : tuple of SetLetter
        The drawing's letters in paper or other inks, which may be cut out of the area.
    type_mm, capital_mm : float
        Type size (one em) and height of capitals of a note or a line's name; 0 for all else.
    on_white : bool
        Whether the underbase lies beneath it.
    casing : Polygon or MultiPolygon
        What is cleared of all other ink round it and beneath it; empty for none.
    """

    subject: str
    kind: Literal["drawing", "flat", "line", "track", "plan", "note"]
    order: int
    ink: str
    tint: float
    knocks_out: bool
    area: Area
    letters: tuple[SetLetter, ...] = ()
    cut_letters: tuple[SetLetter, ...] = ()
    type_mm: float = 0.0
    capital_mm: float = 0.0
    on_white: bool = False
    casing: Area = field(default_factory=Polygon)


def areas_by_ink(
    marks: Iterable[Painted], ink_of: Callable[[str], str | None], *, knocks_out: bool
) -> dict[str, Area]:
    """What a drawing leaves visible of each ink.

    Parameters
    ----------
    marks : iterable of Painted
        Bottom first.
    ink_of : callable
        The ink of a colour; None for paper, which takes away what is beneath.
    knocks_out : bool
        Whether a later ink also takes away the earlier ones beneath it.
    """
    runs = [(ink, as_area(union_all([mark.area for mark in run])))
            for ink, run in groupby(marks, lambda mark: ink_of(mark.colour))]
    if len(runs) > _MANY_RUNS:
        return _areas_of_many(runs, knocks_out=knocks_out)
    areas: dict[str, Area] = {}
    for ink, laid in runs:
        for other in list(areas):
            if ink is None or (knocks_out and other != ink):
                areas[other] = as_area(areas[other].difference(laid))
        if ink is not None:
            areas[ink] = as_area(union_all([areas.get(ink, Polygon()), laid]))
    return {ink: area for ink, area in areas.items() if not area.is_empty}


def _areas_of_many(runs: Sequence[tuple[str | None, Area]], *, knocks_out: bool
                   ) -> dict[str, Area]:
    """The same for marks whose inks change all the time: what is left of each, the topmost first.

    Where few marks lie on each other, each is cut by these alone; else by all that is over it,
    which then is no large shape.
    """
    tree = STRtree([laid for _, laid in runs])
    some = [laid for _, laid in runs[::max(1, len(runs) // _SAMPLED)]]
    crowded = tree.query(some).shape[1] > _CROWDED * len(some)
    inks = {ink for ink, _ in runs}
    over: dict[str | None, Area] = {ink: Polygon() for ink in inks}
    visible: dict[str, list[Area]] = {}
    for place, (ink, laid) in reversed(list(enumerate(runs))):
        cutting = {other for other in inks if other != ink and (knocks_out or other is None)}
        if ink is not None and not laid.is_empty:
            cuts = [over[other] for other in sorted(cutting, key=str)] if crowded else [
                runs[other][1] for other in sorted(tree.query(laid, predicate="intersects"))
                if other > place and runs[other][0] in cutting]
            left = as_area(laid.difference(union_all(cuts))) if cuts else laid
            visible.setdefault(ink, []).append(left)
        if crowded:
            over[ink] = as_area(union_all([over[ink], laid]))
    areas = {ink: as_area(union_all(parts)) for ink, parts in visible.items()}
    return {ink: area for ink, area in areas.items() if not area.is_empty}


def letters_in(
    marks: Iterable[Painted], ink_of: Callable[[str], str | None], ink: str
) -> tuple[tuple[SetLetter, ...], tuple[SetLetter, ...]]:
    """The letters that a drawing sets in an ink, and those that it sets in anything else."""
    own: list[SetLetter] = []
    others: list[SetLetter] = []
    for mark in marks:
        (own if ink_of(mark.colour) == ink else others).extend(mark.letters)
    return tuple(own), tuple(others)


def colours_in(marks: Sequence[Painted]) -> tuple[str, ...]:
    """The colours of a drawing but paper, each once, in their order."""
    return tuple(dict.fromkeys(m.colour for m in marks if m.colour != PAPER))
