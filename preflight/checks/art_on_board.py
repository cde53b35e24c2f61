"""Does the photograph cover the board, lie along it, and print wherever it should?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from shapely import Polygon, box, line_merge, union_all
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from preflight.checks import limits
from preflight.checks.placing_advice import (
    BACK_TO_THE_MIDDLE,
    EDGE_MM,
    filled_instead,
    placed_by,
    size_as_it_lies,
    size_to_cover,
    turned_instead,
)
from preflight.facts.submission import ArtOnBoard, Submission, place_of
from preflight.findings import Figure, Finding, Grade, at_least, listed
from preflight.units import Angle


def art_covers_the_area(submission: Submission) -> Iterator[Finding]:
    """The photographs together cover the trim and the bleed, or end where wood is to be bare."""
    photos = [a for a in submission.art if a.table.kind == "photo"]
    if not photos:
        return
    meant = all(a.table.bare_wood_around for a in photos)
    board, bleed = _bare_parts(submission, photos)
    board_told = "Art covers all of the board inside its trim."
    if meant and board.area > limits.BARE_AREA.value:
        share = board.area / submission.area.trim.intersection(submission.area.printed).area
        board_told = (f"{board.area / 100:.1f} cm² of the board inside its trim, {share * 100:.0f} "
                      "%, stays bare wood, as bare_wood_around says.")
    short_bleed = bleed
    if meant:
        board, bleed = Polygon(), _along_the_trim(submission, photos, bleed)
    names = tuple(dict.fromkeys(a.table.file for a in photos))
    for id_, title, part, bare, grade, clear in (
        ("art-covers-board", "Art over the board", "board inside its trim", board, Grade.STOP,
         board_told),
        ("art-covers-bleed", "Art over the bleed", "bleed", bleed, Grade.CARE,
         "Art covers the bleed wherever it reaches the trim." if meant else
         "Art covers all of the bleed."),
    ):
        missing = bare.area > limits.BARE_AREA.value
        yield Finding(
            id=id_, check=title, subjects=names, grade=grade if missing else Grade.CLEAR,
            says=f"{bare.area / 100:.1f} cm² of the {part} has no art." if missing else clear,
            measured=Figure(value=bare.area, unit="mm² bare"),
            limit=limits.BARE_AREA.figure, source=limits.BARE_AREA.source,
            place=place_of(bare.bounds) if missing else None,
            mend=_covering(submission, photos, short_bleed) if missing else "")


def _bare_parts(submission: Submission,
                photos: list[ArtOnBoard]) -> tuple[BaseGeometry, BaseGeometry]:
    """What no photo covers of the board inside its trim, and of the bleed."""
    covered = union_all([a.placed.polygon for a in photos])
    reached = union_all([a.printed_polygon for a in photos])
    trim, printed = submission.area.trim, submission.area.printed
    return (trim.intersection(printed).difference(covered),
            printed.difference(trim).difference(reached))


def _along_the_trim(submission: Submission, photos: list[ArtOnBoard],
                    bare: BaseGeometry) -> BaseGeometry:
    """The bare bleed beside photos that end in the bleed, where a cut may leave a sliver of wood.

    Where a photo's edge only crosses the trim, the bleed beyond that edge is bare as the board is.
    """
    trim, printed = submission.area.trim, submission.area.printed
    if bare.area <= limits.BARE_AREA.value:
        return bare
    wide = printed.difference(trim).area / trim.length
    edges = union_all([a.printed_polygon for a in photos]).boundary.intersection(
        printed.difference(trim))
    runs = [part for part in getattr(line_merge(edges), "geoms", [line_merge(edges)])
            if part.length > limits.EDGE_IN_BLEED.value * wide]
    return bare.intersection(union_all(runs).buffer(wide)) if runs else Polygon()


def _covering(submission: Submission, photos: list[ArtOnBoard], bleed: BaseGeometry) -> str:
    """What makes one photo cover the printed area; of several only the artist can tell which."""
    silent = [a for a in photos if not a.table.bare_wood_around]
    if not silent:
        return ("Lay the photo that ends there larger, or move it: its edge is to lie beyond the "
                "bleed, or inside the board.")
    wood = ""
    if _along_the_trim(submission, photos, bleed).area <= limits.BARE_AREA.value:
        files = listed(tuple(dict.fromkeys(a.table.file for a in silent)))
        wood = (" If bare wood is meant there, write bare_wood_around = true in "
                + ("its [[art]] table." if len(photos) == 1 else f"the [[art]] table of {files}."))
    if len(photos) > 1:
        return f"Move or enlarge the photo that is to lie there.{wood}"
    told = _larger(submission, photos[0])
    return f"{told[0].upper()}{told[1:]}.{wood}"


def _larger(submission: Submission, photo: ArtOnBoard) -> str:
    table = photo.table
    if table.place == "fill":
        _, width = size_to_cover(submission, photo, moved=True)
        ways, keys = _offsets_to_blame(submission, photo)
        return (f"it was moved too far {ways}: move it back to the middle ({keys}), or lay it "
                f'larger, with place = "scale" and width = "{width}"')
    if table.place == "fit":
        return filled_instead(submission, photo)
    times, width = size_to_cover(submission, photo, moved=False)
    if times <= 1:
        return f"it is large enough but lies beside the board: set {BACK_TO_THE_MIDDLE}"
    size = f'width = "{width}"' + (" in place of resolution" if table.resolution else "")
    moved = table.offset_along.mm or table.offset_across.mm
    return (f"lay it {times:.2f} times as large (at {photo.placed.ppi / times:.0f} ppi): write "
            f"{size}{f', and set {BACK_TO_THE_MIDDLE}' if moved else ''}; or "
            f"{filled_instead(submission, photo)}")


def _offsets_to_blame(submission: Submission, photo: ArtOnBoard) -> tuple[str, str]:
    """Which way a photo that fills was moved too far, and what brings it back."""
    along, across = photo.table.offset_along.mm, photo.table.offset_across.mm
    for words, key, x_mm, y_mm in (("along the board", "offset_along", along, 0.0),
                                   ("across the board", "offset_across", 0.0, across)):
        back = translate(photo.placed.polygon, -x_mm, -y_mm)
        if (x_mm or y_mm) and back.buffer(EDGE_MM).contains(submission.area.printed):
            return words, f'{key} = "0 mm"'
    return "along and across the board", 'offset_along = "0 mm" and offset_across = "0 mm"'


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
                 f"its [[art]] table{turned_instead(submission, art, better)}; or, if this crop is "
                 f"meant, {size_as_it_lies(art)}."
            if cropped else "")


def _share_shown(submission: Submission, art: ArtOnBoard, turn_deg: float) -> float:
    """Share of a photo, placed as asked but for its turn, that lies in the printed area's box."""
    placed = art.placed if turn_deg == art.table.turn.deg else placed_by(
        submission, art, replace(art.table, turn=Angle(turn_deg, f"{turn_deg:g}°")))
    polygon = placed.polygon
    return float(polygon.intersection(box(*submission.area.image_bounds)).area / polygon.area)
