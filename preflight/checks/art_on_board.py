"""Does the photograph cover the board, lie along it, and print wherever it should?"""

from __future__ import annotations

from collections.abc import Iterator

from shapely import box, union_all
from shapely.affinity import translate

from preflight.art.placement import Placement, place
from preflight.checks import limits
from preflight.facts.submission import ArtOnBoard, Submission, place_of
from preflight.findings import Figure, Finding, Grade, at_least

#: A photo that ends so near the printed area's edge (mm) covers it: rounding of its corners.
_EDGE_MM = 0.05


def art_covers_the_area(submission: Submission) -> Iterator[Finding]:
    """The photographs together cover the trim and the bleed."""
    photos = [a for a in submission.art if a.table.kind == "photo"]
    if not photos:
        return
    covered = union_all([a.placed.polygon for a in photos])
    reached = union_all([a.printed_polygon for a in photos])
    bare_board = submission.area.trim.intersection(submission.area.printed).difference(covered)
    bare_bleed = submission.area.printed.difference(submission.area.trim).difference(reached)
    names = tuple(dict.fromkeys(a.table.file for a in photos))
    for id_, title, part, bare, grade in (
        ("art-covers-board", "Art over the board", "board inside its trim", bare_board,
         Grade.STOP),
        ("art-covers-bleed", "Art over the bleed", "bleed", bare_bleed, Grade.CARE),
    ):
        missing = bare.area > limits.BARE_AREA.value
        yield Finding(
            id=id_, check=title, subjects=names, grade=grade if missing else Grade.CLEAR,
            says=f"{bare.area / 100:.1f} cm² of the {part} has no art." if missing
            else f"Art covers all of the {part}.",
            measured=Figure(value=bare.area, unit="mm² bare"),
            limit=limits.BARE_AREA.figure, source=limits.BARE_AREA.source,
            place=place_of(bare.bounds) if missing else None,
            mend=_covering(submission, photos) if missing else "")


def _covering(submission: Submission, photos: list[ArtOnBoard]) -> str:
    """What makes one photo cover the printed area; of several only the artist can tell which."""
    if len(photos) > 1:
        return "Move or enlarge the photo that is to lie there."
    photo = photos[0]
    if photo.table.place == "fill":
        blamed = _offsets_to_blame(submission, photo)
        return (f"It was moved too far {blamed[0]}: move it back ({blamed[1]} = 0 puts it in the "
                "middle), or lay it larger (place = \"scale\")." if blamed else
                "Its turn leaves corners bare: set turn to 0 or 90, or lay it larger with place = "
                "\"scale\".")
    if photo.table.place == "fit":
        return "Set place = \"fill\"."
    least_x, least_y, greatest_x, greatest_y = submission.area.image_bounds
    least, low, greatest, high = photo.placed.polygon.bounds
    times = max((greatest_x - least_x) / (greatest - least), (greatest_y - least_y) / (high - low))
    if times <= 1:
        return ("It is large enough but lies beside the board: set offset_along and offset_across "
                "to 0.")
    return (f"Lay it {times:.2f} times as large (at {photo.placed.ppi / times:.0f} ppi) and "
            "centred, or set place = \"fill\".")


def _offsets_to_blame(submission: Submission, photo: ArtOnBoard) -> tuple[str, str] | None:
    """Which way a photo was moved too far, and the keys that say so; None when it was not moved."""
    along, across = photo.table.offset_along.mm, photo.table.offset_across.mm
    if not along and not across:
        return None
    for words, key, x_mm, y_mm in (("along the board", "offset_along", along, 0.0),
                                   ("across the board", "offset_across", 0.0, across)):
        back = translate(photo.placed.polygon, -x_mm, -y_mm)
        if (x_mm or y_mm) and back.buffer(_EDGE_MM).contains(submission.area.printed):
            return words, key
    return "along and across the board", "offset_along and offset_across"


def art_is_opaque(submission: Submission) -> Iterator[Finding]:
    """Where the photographs are transparent nothing is printed."""
    tones = submission.tones
    if tones is None:
        return
    percent = tones.share_see_through * 100
    grade = (Grade.STOP if percent > limits.EMPTY_PHOTO.value else Grade.CARE
             if percent > limits.SEE_THROUGH.value else Grade.CLEAR)
    limit = limits.EMPTY_PHOTO if grade is Grade.STOP else limits.SEE_THROUGH
    yield Finding(
        id="photo-opaque", check="Transparency of the photo", subject="photograph", grade=grade,
        says=f"The photograph is transparent over {percent:.1f} % of the printed area: nothing "
             "prints there." if grade is not Grade.CLEAR else "No part of it is transparent.",
        measured=Figure(value=percent, unit="% of the area"),
        limit=limit.figure, source=limit.source,
        place=tones.place_see_through if grade is not Grade.CLEAR else None,
        mend="If bare wood is not wanted there, fill the transparent parts of the photo."
        if grade is not Grade.CLEAR else "")


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
            id="photo-turn", check="Turn of the photo", subjects=(art.table.file,),
            grade=Grade.CARE if cropped else Grade.CLEAR,
            says=f"Only {now:.0f} % of the photo shows as it is turned now; with turn = "
                 f"{better:g} it would be {turned:.0f} %." if cropped else
            f"{now:.0f} % of the photo shows; a quarter turn would not show much more.",
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
