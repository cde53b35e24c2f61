"""Do the films read right and fit their printer, and does the screen frame hold the image?"""

from __future__ import annotations

from collections.abc import Iterator

from preflight.basis import Basis, Source, given
from preflight.checks import limits
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade, at_least

_READING = Source(
    basis=Basis.PUBLISHED,
    told="Ulano, \"D-max, D-min\": screen printing takes right-reading positives")


def film_reads_right(submission: Submission) -> Iterator[Finding]:
    """A film laid emulsion to stencil prints right only if it is right-reading."""
    mirrored = submission.job.film.reading == "mirrored"
    yield Finding(
        id="film-reading", check="Reading of the films", subject="films",
        grade=Grade.CARE if mirrored else Grade.CLEAR,
        says="The films are mirrored: with their emulsion against the stencil, the board prints "
             "as a mirror image."
        if mirrored else "The films are right-reading with the emulsion side up.",
        measured=Figure(value=float(mirrored), unit="mirror images"),
        limit=Figure(value=0, unit="mirror images"), source=_READING,
        mend="Set reading = \"right-reading\" unless the film's other side lies against the "
             "stencil."
        if mirrored else "")


def films_have_dots(submission: Submission) -> Iterator[Finding]:
    """Each ink has something to print; a film without a dot wastes a film and a screen."""
    if submission.hold is None:
        return
    limit = limits.BLANK_FILMS
    for ink in submission.job.ink:
        blank = ink.name in submission.hold.blank_films
        mend = ("Take the underbase out of the job, or give it art to lie under."
                if ink.prints == "underbase" else
                "Take the ink out of the job, or give it art that prints in it.")
        yield Finding(
            id="film-blank", check="Blank films", subjects=(ink.name,),
            grade=Grade.STOP if blank else Grade.CLEAR,
            says="Its film has no dots: nothing in this job prints in this ink."
            if blank else "Its film has dots.",
            measured=Figure(value=float(blank), unit="blank films"), limit=limit.figure,
            source=limit.source, mend=mend if blank else "")


def film_fits_the_printer(submission: Submission) -> Iterator[Finding]:
    """Film with its marks is no larger than what the film printer takes, or comes in panels."""
    film = submission.job.film
    for id_, side, size, limit in (
        ("film-length", "length", submission.film_length_mm, film.length),
        ("film-width", "width", submission.film_width_mm, film.width),
    ):
        over = size > limit.mm
        yield Finding(
            id=id_, check=f"Film {side}", subject="films",
            grade=Grade.CLEAR if not over else Grade.NOTE if film.panels else Grade.STOP,
            says=f"A film with its marks has a {side} of {size:.0f} mm; the film printer takes "
                 f"{limit.written}." + (" Panels are made." if over and film.panels else ""),
            measured=Figure(value=size, unit="mm"), limit=Figure(value=limit.mm, unit="mm"),
            source=given("the job's [film] table"),
            mend="" if not over else "Splice them on a light table, crosses on crosses."
            if film.panels else
            "Set panels = true, or use a wider film printer or roll, or a smaller bleed.")


def frame_leaves_free_mesh(submission: Submission) -> Iterator[Finding]:
    """The screen frame leaves free mesh round the printed image."""
    frame = submission.job.frame
    least_x, least_y, greatest_x, greatest_y = submission.area.image_bounds
    for id_, side, inside, image, asked, usual in (
        ("free-mesh-ends", "ends", frame.inside_length, greatest_x - least_x, frame.free_ends,
         limits.FREE_ENDS),
        ("free-mesh-sides", "sides", frame.inside_width, greatest_y - least_y, frame.free_sides,
         limits.FREE_SIDES),
    ):
        free = (inside.mm - image) / 2
        grade = Grade.STOP if free < 0 else Grade.CARE if free < asked.mm else Grade.CLEAR
        usual_holds = asked.mm == usual.value
        yield Finding(
            id=id_, check=f"Free mesh at the {side}", subject="screen frame", grade=grade,
            says=f"The frame is {inside.written} inside and the image {image:.0f} mm: "
                 + (f"the image is {-2 * free:.0f} mm larger." if free < 0 else
                    f"{free:.0f} mm of mesh stays free at each {side.removesuffix('s')}."),
            measured=Figure(value=free, unit="mm"), limit=at_least(asked.mm, "mm"),
            source=usual.source if usual_holds else given("the job's [frame] table"),
            mend="" if grade is Grade.CLEAR else
            f"Use a frame of {image + 2 * asked.mm:.0f} mm or more inside.")
