"""Does a photo that fills the board lie along it, or would a quarter turn show far more of it?"""

from __future__ import annotations

from collections.abc import Iterator

from shapely import box

from preflight.art.placement import Placement, place
from preflight.checks import limits
from preflight.findings import Figure, Finding, Grade, at_least
from preflight.submission import ArtOnBoard, Submission


def photo_lies_along_the_board(submission: Submission) -> Iterator[Finding]:
    """A photo that fills the board is not cropped to a strip that lies sideways."""
    for art in submission.art:
        if art.table.kind != "photo" or art.table.place == "scale":
            continue
        asked = art.table.turn.deg
        now = 100 * _share_shown(submission, art, asked)
        # towards 90, which lays a landscape photo's right end at the nose
        better = min((asked + 90) % 360, (asked - 90) % 360, key=lambda deg: abs(deg - 90))
        turned = 100 * _share_shown(submission, art, better)
        cropped = (now < limits.PHOTO_SHOWS.value
                   and turned >= limits.TURN_SHOWS.value * now)
        yield Finding(
            check="Turn of the photo", subject=art.table.file,
            grade=Grade.CARE if cropped else Grade.CLEAR,
            says=f"Only {now:.0f} % of the photo shows as it is turned now; with turn = "
                 f"{better:g} it would be {turned:.0f} %." if cropped else
            f"{now:.0f} % of the photo shows; a quarter turn would not show far more.",
            measured=Figure(value=now, unit="% of the photo"),
            limit=at_least(limits.PHOTO_SHOWS.value, limits.PHOTO_SHOWS.unit),
            source=limits.PHOTO_SHOWS.source,
            mend=f"Write turn = {better:g} (or {(better + 180) % 360:g}, the other way round) in "
                 "its [[art]] table, or place = \"scale\" if this crop is meant."
            if cropped else "")


def _share_shown(submission: Submission, art: ArtOnBoard, turn_deg: float) -> float:
    """Share of a photo, placed as asked but for its turn, that lies in the printed area's box."""
    table = art.table
    if turn_deg == table.turn.deg:
        placed = art.placed
    else:
        placed = place(art.artwork.width_px, art.artwork.height_px,
                       submission.area.image_bounds, Placement(
                           how=table.place, offset_x_mm=table.offset_along.mm,
                           offset_y_mm=table.offset_across.mm, turn_deg=turn_deg,
                           flip=table.flip))
    polygon = placed.polygon
    return float(polygon.intersection(box(*submission.area.image_bounds)).area / polygon.area)
