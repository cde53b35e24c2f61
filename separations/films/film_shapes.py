"""All marks of one of a job's films."""

from __future__ import annotations

from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from separations.films.film_label import FilmLabel
from separations.films.film_sheet import FilmSheet
from separations.films.job_label import nose_words
from separations.films.mark_fields import FilmOfJob
from separations.films.marks import Shape, marks
from separations.films.panels import Panel
from separations.films.press_marks import (
    PressMarks,
    press_marks_of,
    press_shapes,
    thinned_bars,
)
from separations.films.register_pins import pin_shapes
from separations.films.splice_marks import part_of


def film_shapes(job: Job, ink: InkTable, sheet: FilmSheet, label: FilmLabel) -> tuple[Shape, ...]:
    """The marks of a whole film: those that all films share, and those of its own.

    Parameters are those of `own_shapes`.
    """
    return (*marks(sheet), *own_shapes(job, ink, sheet, label, press_marks_of(job)))


def panel_shapes(job: Job, ink: InkTable, sheet: FilmSheet, label: FilmLabel,
                 panel: Panel) -> tuple[Shape, ...]:
    """The marks of one panel: its own, and its part of the whole film's strip and pins.

    Parameters
    ----------
    job, ink, sheet, label : Job, InkTable, FilmSheet, FilmLabel
        As for `own_shapes`, of the whole film.
    panel : Panel
        One of its panels.
    """
    press = press_marks_of(job)
    return (*panel.shapes, *part_of(_strip_and_pins(sheet, label, press), panel.page),
            *_thinned(job, ink, panel.sheet, press))


def own_shapes(job: Job, ink: InkTable, sheet: FilmSheet, label: FilmLabel,
               press: PressMarks) -> tuple[Shape, ...]:
    """The press strip, pins and thinned steps of one film.

    Parameters
    ----------
    job, ink : Job, InkTable
        The job, and the film's ink.
    sheet, label : FilmSheet, FilmLabel
        The sheet that all its films share, and this film's label.
    press : PressMarks
        Which marks its films have.
    """
    return (*_strip_and_pins(sheet, label, press), *_thinned(job, ink, sheet, press))


def _strip_and_pins(sheet: FilmSheet, label: FilmLabel, press: PressMarks) -> tuple[Shape, ...]:
    film = FilmOfJob(order=label.film_number, count=label.film_count)
    return (*press_shapes(sheet, press, film, nose_words(label)),
            *(shape for x_mm, y_mm in press.pins_mm for shape in pin_shapes(sheet, x_mm, y_mm)))


def _thinned(job: Job, ink: InkTable, sheet: FilmSheet, press: PressMarks) -> tuple[Shape, ...]:
    spec = job.halftone_of(ink)
    thinned = ("thinned" in press.names and job.has_dots(ink) and spec.is_periodic
               and spec.small_dots == "thin")
    return thinned_bars(sheet, spec.smallest_tone, spec.largest_tone) if thinned else ()
