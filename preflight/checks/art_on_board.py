"""Does a photo that fills the board lie along it, or would a quarter turn show far more of it?"""

from __future__ import annotations

from collections.abc import Iterator

from shapely import box, union_all

from preflight.art.placement import Placement, place
from preflight.checks import limits
from preflight.checks.drawn_lines import nothing_prints, wholly_off_the_board
from preflight.facts.submission import ArtOnBoard, Submission, place_of
from preflight.findings import Figure, Finding, Grade, at_least

_OWN_GEOMETRY = "geometry of this job"
#: Share of the area above which a photograph is as good as empty. Own rule, no source.
_NOTHING_LEFT = 0.98


def art_covers_the_area(submission: Submission) -> Iterator[Finding]:
    """The photographs together cover the trim and the bleed."""
    photos = [a.placed.polygon for a in submission.art if a.table.kind == "photo"]
    if not photos:
        return
    covered = union_all(photos)
    reached = union_all([a.printed_polygon for a in submission.art if a.table.kind == "photo"])
    bare_board = submission.area.trim.intersection(submission.area.printed).difference(covered)
    bare_bleed = submission.area.printed.difference(submission.area.trim).difference(reached)
    for title, bare, grade in (
        ("Art covers the board", bare_board, Grade.STOP),
        ("Art covers the bleed", bare_bleed, Grade.CARE),
    ):
        missing = bare.area > limits.BARE_AREA.value
        yield Finding(
            check=title, subject="photograph", grade=grade if missing else Grade.CLEAR,
            says=f"{bare.area / 100:.1f} cm² of the printed area has no art." if missing
            else "It lies wholly within the edges of the art.",
            measured=Figure(value=bare.area, unit="mm² bare"),
            limit=limits.BARE_AREA.figure, source=_OWN_GEOMETRY,
            place=place_of(bare.bounds) if missing else None,
            mend="Place the art with \"fill\", or give it a larger scale or another offset."
            if missing else "")


def art_is_opaque(submission: Submission) -> Iterator[Finding]:
    """Where the photographs are transparent nothing is printed."""
    tones = submission.tones
    if tones is None:
        return
    share = tones.share_see_through
    grade = (Grade.STOP if share > _NOTHING_LEFT else Grade.CARE
             if share * 100 > limits.SEE_THROUGH.value else Grade.CLEAR)
    yield Finding(
        check="Art is opaque", subject="photograph", grade=grade,
        says=f"The photograph is transparent over {share * 100:.1f} % of the printed area: "
             "nothing of it prints there." if grade is not Grade.CLEAR else
        "No part of it is transparent.",
        measured=Figure(value=share * 100, unit="% of the area"),
        limit=limits.SEE_THROUGH.figure, source=limits.SEE_THROUGH.source,
        place=tones.place_see_through if grade is not Grade.CLEAR else None,
        mend="If bare wood is not wanted there, fill the transparent parts in the photo."
        if grade is not Grade.CLEAR else "")


def line_work_keeps_the_safety_margin(submission: Submission) -> Iterator[Finding]:
    """Drawn lines and letters stay inside the safe area; beyond it the cut may take them."""
    for line in submission.lines:
        if line.wholly_off:
            yield wholly_off_the_board(line.file) if not line.is_blank else nothing_prints(
                line.file, "what of the picture lies on the board's printed area is blank.",
                "Give it dark lines on white, or opaque ones on nothing; or take it out of the "
                "job.")
            continue
        beyond = line.mm2_beyond_safe > limits.BEYOND_SAFE.value
        yield Finding(
            check="Safety margin", subject=line.file, grade=Grade.CARE if beyond else Grade.CLEAR,
            says=f"{line.mm2_beyond_safe:.0f} mm² of the drawing lie in the safety margin or "
                 "beyond the edge, where trimming or register may cut them." if beyond else
            "The whole drawing lies inside the safety margin.",
            measured=Figure(value=line.mm2_beyond_safe, unit="mm²"),
            limit=limits.BEYOND_SAFE.figure, source=limits.BEYOND_SAFE.source,
            place=line.place_beyond_safe if beyond else None,
            mend="Move letters and lines inwards, unless they are meant to run off the edge."
            if beyond else "")


def film_reads_right(submission: Submission) -> Iterator[Finding]:
    """A film laid emulsion to stencil prints right only if it is right-reading."""
    mirrored = submission.job.film.reading == "mirrored"
    yield Finding(
        check="Reading of the films", subject="film",
        grade=Grade.CARE if mirrored else Grade.CLEAR,
        says="The films are mirrored: laid emulsion to stencil, the board prints as a mirror image."
        if mirrored else "The films are right-reading with the emulsion side up.",
        measured=Figure(value=float(mirrored), unit="mirror images"),
        limit=Figure(value=0, unit="mirror images"),
        source="geometry; screen printing takes right-reading positives (Ulano, \"D-max, D-min\")",
        mend="Set reading = \"right-reading\" unless the film's other side goes to the stencil."
        if mirrored else "")


def film_fits_the_printer(submission: Submission) -> Iterator[Finding]:
    """Film with its marks is no larger than what the film printer takes, or comes in panels."""
    film = submission.job.film
    for side, size, limit in (("length", submission.film_length_mm, film.length),
                              ("width", submission.film_width_mm, film.width)):
        over = size > limit.mm
        yield Finding(
            check=f"Film {side}", subject="film",
            grade=Grade.CLEAR if not over else Grade.NOTE if film.panels else Grade.STOP,
            says=f"A film with its marks is {size:.0f} mm in {side}; the film printer takes "
                 f"{limit.written}." + (" Panels are made." if over and film.panels else ""),
            measured=Figure(value=size, unit="mm"), limit=Figure(value=limit.mm, unit="mm"),
            source="the job's [film] table",
            mend="" if not over else "Splice them on a light table, crosses on crosses."
            if film.panels else
            "Use a wider film printer or roll, a smaller bleed, or panels = true.")


def frame_leaves_free_mesh(submission: Submission) -> Iterator[Finding]:
    """The screen frame leaves free mesh round the printed image."""
    frame = submission.job.frame
    least_x, least_y, greatest_x, greatest_y = submission.area.image_bounds
    for side, inside, image, asked, usual in (
        ("ends", frame.inside_length, greatest_x - least_x, frame.free_ends, limits.FREE_ENDS),
        ("sides", frame.inside_width, greatest_y - least_y, frame.free_sides, limits.FREE_SIDES),
    ):
        free = (inside.mm - image) / 2
        grade = Grade.STOP if free < 0 else Grade.CARE if free < asked.mm else Grade.CLEAR
        yield Finding(
            check=f"Free mesh at the {side}", subject="screen frame", grade=grade,
            says=f"The frame is {inside.written} inside and the image {image:.0f} mm: "
                 f"{free:.0f} mm of mesh stays free at each of the {side}.",
            measured=Figure(value=free, unit="mm"), limit=at_least(asked.mm, "mm"),
            source=usual.source,
            mend="" if grade is Grade.CLEAR else
            f"A frame at least {image + 2 * asked.mm:.0f} mm inside would do.")


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
