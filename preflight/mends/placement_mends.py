"""A photo that falls short of the board or its bleed, where the plain answer is a key."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from preflight.checks.art_on_board import art_covers_the_area
from preflight.checks.placing_advice import placed_by
from preflight.facts.submission import ArtOnBoard, Submission
from preflight.findings import Finding, Grade
from preflight.job_file.job_tables import ArtTable
from preflight.mends.mend import Mend
from preflight.units import Length


def placement_mends(submission: Submission) -> Iterator[Mend]:
    """Fill in place of fit, offsets brought back, or the photo's edge repeated over the bleed.

    For the only photo of a job, and only where that mends all of it; of several only the artist
    can tell which is to move. Edges are repeated only where nothing inside the trim is missing.
    """
    found = [f for f in art_covers_the_area(submission) if f.grade is not Grade.CLEAR]
    if not found:
        return
    if all(f.id == "art-covers-bleed" for f in found) and (filled := _filling(submission, found)):
        yield from filled
        return
    photos = [art for art in submission.art if art.table.kind == "photo"]
    if len(photos) == 1:
        yield from _moved(submission, photos[0], found)


def _moved(submission: Submission, photo: ArtOnBoard, found: list[Finding]) -> Iterator[Mend]:
    table, where = photo.table, ("art", photo.order)
    if table.place == "scale" or table.bare_wood_around:
        return
    mends, tried = [], table
    if table.place == "fit":
        mends.append(Mend(key_path=(*where, "place"), before="fit", after="fill",
                          why=found[0].says))
        tried = replace(tried, place="fill")
    if _is_short(submission, [_placed(submission, photo, tried)]):
        for key in ("offset_along", "offset_across"):
            offset: Length = getattr(tried, key)
            changes: dict[str, Any] = {key: Length(0.0, "0 mm")}
            moved = replace(tried, **changes)
            if offset.mm and _bare(submission, photo, moved) < _bare(submission, photo, tried):
                mends.append(Mend(key_path=(*where, key), before=offset.written, after="0 mm",
                                  why=found[0].says))
                tried = moved
    if mends and not _is_short(submission, [_placed(submission, photo, tried)]):
        yield from mends


def _placed(submission: Submission, photo: ArtOnBoard, table: ArtTable) -> ArtOnBoard:
    """The photo as it would lie with another table."""
    return replace(photo, table=table, placed=placed_by(submission, photo, table))


def _bare(submission: Submission, photo: ArtOnBoard, table: ArtTable) -> float:
    """Area (mm²) that the photo would leave bare."""
    placed = _placed(submission, photo, table).placed.polygon
    return float(submission.area.printed.difference(placed).area)


def _is_short(submission: Submission, changed: list[ArtOnBoard]) -> bool:
    """Whether any area is bare with some photos changed."""
    by_order = {art.order: art for art in changed}
    art = tuple(by_order.get(one.order, one) for one in submission.art)
    return any(f.grade is not Grade.CLEAR
               for f in art_covers_the_area(replace(submission, art=art)))


def _filling(submission: Submission, found: list[Finding]) -> list[Mend]:
    """Edge pixels repeated beyond one photo, or beyond all, where that covers the bleed."""
    photos = [art for art in submission.art
              if art.table.kind == "photo" and not art.table.fill_edges
              and not art.table.bare_wood_around]
    for some in (*([one] for one in photos), photos):
        filled = [replace(one, table=replace(one.table, fill_edges=True)) for one in some]
        if filled and not _is_short(submission, filled):
            return [Mend(key_path=("art", one.order, "fill_edges"), before=None, after=True,
                         why=f"{found[0].says} It is cut off: the photo's edge pixels are "
                             "repeated there") for one in some]
    return []
