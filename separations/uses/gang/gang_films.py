"""Films of all pieces of a gang sheet, written and read back, or counted alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import numpy as np

from preflight.frames.film_scale import scale_short
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_revision import revision_letters
from preflight.job_file.job_tables import InkTable
from preflight.nouns import counted
from separations.colour.display import solid_srgb
from separations.colour.job_inks import whole_model
from separations.films.film_contents import with_press_strip
from separations.films.film_formats import write_formats
from separations.films.film_label import (
    BODY_PT,
    FilmLabel,
    label_height_pt,
    label_lines,
    lines_beyond,
)
from separations.films.film_made import FilmMade
from separations.films.film_names import film_name
from separations.films.film_page import label_room_pt
from separations.films.film_set import FilmSet
from separations.films.film_shapes import own_shapes
from separations.films.film_sheet import Box, FilmSheet, PressRoom
from separations.films.job_label import set_up_lines
from separations.films.press_marks import PressMarks, press_marks_of
from separations.films.read_back import make_film
from separations.films.register_pins import check_pins, pin_reach_mm
from separations.halftone.film_bands import film_bands
from separations.halftone.screening import prepare as prepare_dots
from separations.runtime.progress import Say
from separations.uses.gang.gang_ink import gang_estimate
from separations.uses.gang.gang_sheet import GangSheet
from separations.uses.gang.piece_dots import GangDots, PlacedDots
from separations.uses.gang.piece_marks import gang_marks, marks_between
from separations.uses.gang.placed_pieces import PlacedPiece, gang_film_sheet, size_lines


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GangOnFilm:
    """A gang laid out: its pieces, the sheet that all films share, and their marks.

    Attributes
    ----------
    gang, pieces : GangSheet, tuple of PlacedPiece
        The gang sheet, and its pieces as they lie.
    sheet, press : FilmSheet, PressMarks
        The shared sheet, and the marks for the press that it has room for.
    revision : str
        The gang in eight letters.
    """

    gang: GangSheet
    pieces: tuple[PlacedPiece, ...]
    sheet: FilmSheet
    press: PressMarks
    revision: str

    @property
    def job(self) -> Job:
        """The job whose settings all pieces share."""
        return self.pieces[0].prepared.laid.job


def gang_on_film(gang: GangSheet, pieces: tuple[PlacedPiece, ...]) -> GangOnFilm:
    """Plan the shared sheet.

    Raises
    ------
    InputProblem
        When marks that the jobs name do not fit the film printer, or a pin lies on the pieces or
        on another mark.
    """
    job, narrow = pieces[0].prepared.laid.job, gang_film_sheet(pieces)
    press = replace(press_marks_of(job), pins_mm=tuple((x.mm, y.mm) for x, y in gang.pins))
    revision = _revision(gang, pieces)
    plain = partial(gang_film_sheet, pieces)
    lines = max(lines_beyond(label_height_pt(label_lines(
        _label(GangOnFilm(gang=gang, pieces=pieces, sheet=narrow, press=press,
                          revision=revision), ink, order),
        job.halftone_of(ink), job.film.reading, label_room_pt(narrow)[0], sizes_pt=BODY_PT)))
        for order, ink in enumerate(job.ink, 1))
    whole = plain(further_lines=lines, press=PressRoom(reach_mm=pin_reach_mm(press)))
    sheet = with_press_strip(plain, whole, lines, job, press)
    if sheet.page_length_mm > job.film.length.mm or sheet.page_width_mm > job.film.width.mm:
        raise InputProblem(
            where=str(gang.path), found=f"films of {sheet.page_width_mm:.0f} by "
            f"{sheet.page_length_mm:.0f} mm with their marks, for a film printer of "
            f"{job.film.width.written} by {job.film.length.written}",
            would_do="fewer 'marks' in the jobs' [film], pins further in, or fewer pieces,")
    check_pins(sheet, f"{gang.path}: pins", press)
    return GangOnFilm(gang=gang, pieces=pieces, sheet=sheet, press=press, revision=revision)


def _revision(gang: GangSheet, pieces: Sequence[PlacedPiece]) -> str:
    """Eight letters that change with any value of the gang sheet, and with any of its jobs."""
    told = (gang.title, gang.date, gang.gap, gang.lay, gang.pins, gang.piece)
    return revision_letters([*map(repr, told),
                             *(piece.prepared.laid.revision for piece in pieces)])


def gang_contents(laid: GangOnFilm,
                  marks: tuple[Box, ...] = ()) -> Iterator[tuple[InkTable, GangDots]]:
    """Each ink's dots on the shared film, in print order, with ``marks`` between the pieces."""
    contents = zip(*(piece.prepared.contents for piece in laid.pieces), strict=True)
    for ink, films in zip(laid.job.ink, contents, strict=True):
        yield ink, GangDots(
            film_grid=laid.sheet.art_grid, spec=films[0].spec, marks=marks,
            pieces=tuple(PlacedDots(dots=prepare_dots(film), place=piece.place,
                                    is_turned=piece.table.is_turned)
                         for piece, film in zip(laid.pieces, films, strict=True)))


def write_gang_films(laid: GangOnFilm, folder: Path, say: Say, *,
                     despite_stops: int = 0) -> FilmSet:
    """Write every ink's film below ``folder``, and its further formats; read all back.

    Raises
    ------
    FilmReadBackError
        When a film does not hold the dots that were screened.
    """
    job, sheet = laid.job, laid.sheet
    model, shared = whole_model(job), gang_marks(sheet, laid.pieces)
    (folder / "films").mkdir()
    films, estimates = [], []
    further: list[str] = []
    between = marks_between(sheet, laid.pieces)
    for order, (ink, dots) in enumerate(gang_contents(laid, between), 1):
        say(f"Film {order} of {len(job.ink)}: {ink.name}")
        name = f"films/{film_name(order, ink.name)}"
        label = replace(_label(laid, ink, order), despite_stops=despite_stops)
        shapes = (*shared, *own_shapes(job, ink, sheet, label, laid.press))
        record = make_film(folder / f"{name}.pdf", dots, sheet, label, coding=job.film.coding,
                           shapes=shapes)
        further += write_formats(folder, name, job.film.also, dots, sheet, label, shapes=shapes)
        inked = record.ink_pixels - _inked(replace(dots, pieces=()))
        inked_mm2 = inked * sheet.art_grid.pixel_mm**2 / sheet.scale.area
        estimates.append(gang_estimate(laid.pieces, ink, inked_mm2))
        films.append(FilmMade(
            order=order, ink=ink, file=f"{name}.pdf", rows=sheet.art_grid.rows,
            columns=sheet.art_grid.columns, page_length_mm=sheet.page_length_mm,
            page_width_mm=sheet.page_width_mm, inked_mm2=inked_mm2,
            mean_tone=estimates[-1].mean_tone, sha256=record.sha256,
            solid_srgb=solid_srgb(model, order - 1)))
    return FilmSet(films=tuple(films), estimates=tuple(estimates), further=tuple(further))


def count_gang_films(laid: GangOnFilm, say: Say) -> FilmSet:
    """Count every film's dots without writing it."""
    estimates = []
    for ink, dots in gang_contents(laid):
        say(f"Counting the dots of {ink.name}")
        inked_mm2 = _inked(dots) * laid.sheet.art_grid.pixel_mm**2 / laid.sheet.scale.area
        estimates.append(gang_estimate(laid.pieces, ink, inked_mm2))
    return FilmSet(films=(), estimates=tuple(estimates))


def _inked(dots: GangDots) -> int:
    """Inked pixels."""
    return sum(int(np.bitwise_count(band).sum(dtype=np.int64)) for band in film_bands(dots))


def _label(laid: GangOnFilm, ink: InkTable, order: int) -> FilmLabel:
    job = laid.job
    mesh = ink.mesh or job.mesh
    listed = tuple(f"{number}  {piece.told}" for number, piece in enumerate(laid.pieces, 1))
    return FilmLabel(
        job=laid.gang.title,
        board=f"{counted(len(laid.pieces), 'piece')}, each screened from its own middle",
        ink=ink.name, mesh=f"{mesh.count.written}, thread {mesh.thread.written}",
        ruling=job.ruling_of(ink).written, film_number=order, film_count=len(job.ink),
        date=laid.gang.date.isoformat(), revision=laid.revision,
        set_up=set_up_lines(job, ink, laid.sheet), further=(*size_lines(laid.pieces), *listed),
        scale=scale_short(job.film.scale),
        screened=any(its.has_dots(its.ink[order - 1])
                     for its in (p.prepared.laid.job for p in laid.pieces)))
