"""One film an ink for all pieces of a gang sheet, written, read back and told."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from preflight.files.whole_files import whole_folder
from preflight.findings import Finding, count_stops, has_stop
from preflight.frames.film_scale import scale_short
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from preflight.job_file.named_paths import is_outside_allowed, path_within
from separations.films.film_formats import FILM_FORMATS, write_formats
from separations.films.film_label import (
    SMALLEST_PT,
    FilmLabel,
    label_height_pt,
    label_lines,
    lines_beyond,
)
from separations.films.film_names import film_name
from separations.films.film_page import label_room_pt
from separations.films.film_sheet import FilmSheet
from separations.films.read_back import make_film
from separations.halftone.screening import prepare as prepare_dots
from separations.ink_need.ink_estimate import InkEstimate
from separations.ink_need.ink_table import ink_csv
from separations.pipeline.job_folder import keep_clear_of_inputs
from separations.pipeline.prepared_job import prepared
from separations.pipeline.session import Session
from separations.pipeline.stages import FILM_SHEET
from separations.runtime.progress import Say, silent
from separations.uses.gang.gang_ink import gang_estimate, pulls_for_all
from separations.uses.gang.gang_sheet import GangSheet, read_gang_sheet
from separations.uses.gang.piece_dots import GangDots, PlacedDots, gang_marks
from separations.uses.gang.placed_pieces import (
    PlacedPiece,
    gang_film_sheet,
    lay_pieces,
    place_pieces,
    size_lines,
)
from separations.uses.gang.same_settings import check_same_settings

GANG_FILE = "gang.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class GangFilm:
    """One shared film, as counted and read back; sizes in mm, its ink in mm² as it prints.

    ``further`` are its files in other formats.
    """

    order: int
    ink: str
    file: str
    page_length_mm: float
    page_width_mm: float
    inked_mm2: float
    sha256: str
    further: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GangOutcome:
    """What was made of a gang sheet.

    Attributes
    ----------
    pieces : tuple of PlacedPiece
        As they lie.
    films : tuple of GangFilm
        In print order; none when withheld.
    findings : tuple of Finding
        Of all pieces' jobs, in their order.
    withheld : bool
        Whether a stop finding of some piece kept the films from being made.
    estimates : tuple of InkEstimate
        Each film's ink, with one pull of the whole gang for a board.
    """

    pieces: tuple[PlacedPiece, ...]
    films: tuple[GangFilm, ...]
    findings: tuple[Finding, ...]
    withheld: bool
    estimates: tuple[InkEstimate, ...] = ()

    @property
    def pulls(self) -> int:
        """How many pulls make every job's boards."""
        return pulls_for_all(self.pieces)


def make_gang(sheet_path: Path, out: Path, *, despite_stops: bool = False,
              say: Say = silent) -> GangOutcome:
    """Make a gang sheet's films, gang.json that tells what lies where, and ink.csv.

    Parameters
    ----------
    sheet_path : Path
        The gang sheet.
    out : Path
        The folder, which appears whole or not at all; not at all with a stop finding.
    despite_stops : bool
        Make the films even so.
    say : callable
        Told what is being done.

    Raises
    ------
    InputProblem
        When the sheet or a job cannot be used, jobs differ in what they must share, or pieces
        meet or do not fit.
    FilmReadBackError
        When a film does not hold the dots that were screened.
    """
    gang = read_gang_sheet(sheet_path)
    paths = [path_within(sheet_path, piece.job, outside=is_outside_allowed())
             for piece in gang.piece]
    sessions = {path: Session(path) for path in dict.fromkeys(paths)}
    for session in sessions.values():
        keep_clear_of_inputs(session.job, out)
    jobs = [sessions[path].job for path in paths]
    check_same_settings(jobs)
    _check_outputs(jobs[0])
    # Before the long work: whether there is room at all.
    sheets = {path: session.of(FILM_SHEET) for path, session in sessions.items()}
    lay_pieces(gang, jobs, [sheets[path] for path in paths])
    ready = {}
    for path, session in sessions.items():
        say(f"Piece {path.name}")
        ready[path] = prepared(session)
        session.keep.forget()
    pieces = place_pieces(gang, [ready[path] for path in paths])
    findings = tuple(finding for path, job in ready.items()
                     for finding in _named(path.name, job.findings))
    if has_stop(findings) and not despite_stops:
        return GangOutcome(pieces=pieces, films=(), findings=findings, withheld=True)
    with whole_folder(out) as folder:
        films = tuple(_write(gang, pieces, folder, say, count_stops(findings)))
        inks = pieces[0].prepared.laid.job.ink
        outcome = GangOutcome(
            pieces=pieces, films=films, findings=findings, withheld=False,
            estimates=tuple(gang_estimate(pieces, ink, film.inked_mm2)
                            for ink, film in zip(inks, films, strict=True)))
        (folder / "ink.csv").write_text(
            ink_csv(outcome.estimates, [film.order for film in films], outcome.pulls,
                    printed="pull"), encoding="utf-8", newline="")
        (folder / GANG_FILE).write_text(gang_json(gang, outcome), encoding="utf-8",
                                          newline="\n")
        return outcome


def _check_outputs(job: Job) -> None:
    """Refuse what a gang does not make: pages that show one board's tones."""
    other = next((word for word in job.film.also if word not in FILM_FORMATS), None)
    if other is not None:
        formats = ", ".join(f'"{word}"' for word in FILM_FORMATS)
        raise InputProblem(
            where=f"{job.path}: film.also", found=f"\"{other}\", which is made of one board alone",
            would_do=f"for a gang only {formats}, or nothing,")


def _named(file: str, findings: Sequence[Finding]) -> Iterator[Finding]:
    """A job's findings with its file in front, those told word for word alike only once."""
    told = {(f.grade, f.check, f.subject, f.says, f.mend): f for f in reversed(findings)}
    for finding in reversed(told.values()):
        yield replace(finding, check=f"{file}: {finding.check}")


def gang_contents(pieces: Sequence[PlacedPiece],
                  sheet: FilmSheet) -> Iterator[tuple[InkTable, GangDots]]:
    """Each ink's dots on the shared film, in print order."""
    inks = pieces[0].prepared.laid.job.ink
    contents = zip(*(piece.prepared.contents for piece in pieces), strict=True)
    for ink, films in zip(inks, contents, strict=True):
        yield ink, GangDots(
            film_grid=sheet.art_grid, spec=films[0].spec,
            pieces=tuple(PlacedDots(dots=prepare_dots(film), place=piece.place,
                                    is_turned=piece.table.is_turned)
                         for piece, film in zip(pieces, films, strict=True)))


def gang_json(gang: GangSheet, outcome: GangOutcome) -> str:
    """The gang as JSON text: its pieces, where each lies and is screened from, and its films."""
    told: dict[str, Any] = {
        "format": 1, "title": gang.title, "date": gang.date.isoformat(),
        "pieces": [{
            "job": piece.table.job, "title": piece.prepared.laid.job.title,
            "board": piece.prepared.laid.job.board.name, "side": piece.prepared.laid.job.side,
            "turn_deg": 180 if piece.table.is_turned else 0,
            "from_nose_mm": round(piece.from_nose_mm, 3),
            "from_left_mm": round(piece.from_left_mm, 3),
            "image_pixels": [piece.sheet.art_grid.columns, piece.sheet.art_grid.rows],
            "screened_from_film_mm": [round(v, 3) for v in piece.origin_mm],
        } for piece in outcome.pieces],
        "pulls": outcome.pulls,
        "scale": list(outcome.pieces[0].sheet.scale),
        "films": [{
            "print_order": film.order, "ink": film.ink, "file": film.file,
            "page_mm": [round(film.page_width_mm, 3), round(film.page_length_mm, 3)],
            "inked_cm2": round(film.inked_mm2 / 100, 3), "sha256": film.sha256,
            "read_back": "equal to the bit", "further": list(film.further),
        } for film in outcome.films]}
    return json.dumps(told, indent=1, ensure_ascii=False) + "\n"


def _write(gang: GangSheet, pieces: tuple[PlacedPiece, ...], folder: Path,
           say: Say, despite_stops: int) -> Iterator[GangFilm]:
    sheet, job = _sheet_for_labels(gang, pieces), pieces[0].prepared.laid.job
    shapes = gang_marks(sheet, pieces)
    (folder / "films").mkdir()
    for order, (ink, dots) in enumerate(gang_contents(pieces, sheet), 1):
        say(f"Film {order} of {len(job.ink)}: {ink.name}")
        name = f"films/{film_name(order, ink.name)}"
        label = replace(_label(gang, pieces, ink, order), despite_stops=despite_stops)
        record = make_film(folder / f"{name}.pdf", dots, sheet, label, coding=job.film.coding,
                           shapes=shapes)
        further = write_formats(folder, name, job.film.also, dots, sheet, label, shapes=shapes)
        yield GangFilm(
            order=order, ink=ink.name, file=f"{name}.pdf", page_length_mm=sheet.page_length_mm,
            page_width_mm=sheet.page_width_mm, sha256=record.sha256, further=further,
            inked_mm2=record.ink_pixels * sheet.art_grid.pixel_mm**2 / sheet.scale.area)


def _sheet_for_labels(gang: GangSheet, pieces: tuple[PlacedPiece, ...]) -> FilmSheet:
    """The film, long enough for its labels, whose lines may be wrapped."""
    job, narrow = pieces[0].prepared.laid.job, gang_film_sheet(pieces)
    width_pt = label_room_pt(narrow)[0]
    high = max(label_height_pt(label_lines(
        _label(gang, pieces, ink, order), job.halftone_of(ink), job.film.reading, width_pt,
        sizes_pt=(SMALLEST_PT,))) for order, ink in enumerate(job.ink, 1))
    return gang_film_sheet(pieces, lines_beyond(high))


def _label(gang: GangSheet, pieces: tuple[PlacedPiece, ...], ink: InkTable,
           order: int) -> FilmLabel:
    job = pieces[0].prepared.laid.job
    mesh = ink.mesh or job.mesh
    listed = tuple(f"{number}  {piece.told}" for number, piece in enumerate(pieces, 1))
    return FilmLabel(
        job=gang.title, board=f"{len(pieces)} pieces, each screened from its own middle",
        ink=ink.name, mesh=f"{mesh.count.written}, thread {mesh.thread.written}",
        ruling=job.ruling_of(ink).written, film_number=order, film_count=len(job.ink),
        date=gang.date.isoformat(), further=(*size_lines(pieces), *listed),
        scale=scale_short(job.film.scale),
        screened=any(p.prepared.laid.job.ink[order - 1].prints != "line work" for p in pieces))
