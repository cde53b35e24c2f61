"""A gang sheet in; films, proof, report, ink and operator's sheet out."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from preflight.files.whole_files import whole_folder
from preflight.findings import Finding, count_stops, has_stop
from preflight.job_file.job import Job
from preflight.job_file.named_paths import is_outside_allowed, path_within
from separations.films.film_made import FilmMade
from separations.films.film_names import film_name
from separations.films.unscreened_outputs import UNSCREENED_OUTPUTS, write_unscreened_pages
from separations.ink_need.ink_estimate import InkEstimate
from separations.ink_need.ink_orders import InkOrder
from separations.pipeline.calls import PROOF_PPI, fine_session
from separations.pipeline.job_folder import keep_clear_of_inputs
from separations.pipeline.job_pictures import draw
from separations.pipeline.prepared_job import prepared
from separations.pipeline.stages import FILM_SHEET
from separations.proof.run_pictures import png_bytes
from separations.proof.shown_pictures import ReportTable
from separations.report.film_words import film_tables
from separations.report.further_tables import lettering_tables, limits_table, resting_table
from separations.report.outcome import Outcome
from separations.report.report_files import write_reports
from separations.runtime.progress import Say, silent
from separations.stock.shelf import job_orders, job_shelf
from separations.uses.gang.gang_board import gang_submission, pinned
from separations.uses.gang.gang_films import (
    GangOnFilm,
    count_gang_films,
    gang_on_film,
    write_gang_films,
)
from separations.uses.gang.gang_ink import pulls_for_all
from separations.uses.gang.gang_pictures import gang_views
from separations.uses.gang.gang_sheet import read_gang_sheet
from separations.uses.gang.piece_marks import piece_marks
from separations.uses.gang.placed_pieces import PlacedPiece, lay_pieces, place_pieces
from separations.uses.gang.same_settings import check_same_settings

GANG_FILE = "gang.json"
#: A piece with fewer crosses cannot be registered by itself.
_FEWEST_CROSSES = 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GangOutcome:
    """What was made of a gang sheet.

    Attributes
    ----------
    pieces : tuple of PlacedPiece
        As they lie.
    outcome : Outcome
        As a job's run has it, of the gang as one board; a pull prints all pieces.
    """

    pieces: tuple[PlacedPiece, ...]
    outcome: Outcome

    @property
    def films(self) -> tuple[FilmMade, ...]:
        """In print order; none when withheld."""
        return self.outcome.films

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Of all pieces' jobs, in their order."""
        return self.outcome.findings

    @property
    def withheld(self) -> bool:
        """Whether a stop finding of some piece kept the films from being made."""
        return self.outcome.withheld

    @property
    def estimates(self) -> tuple[InkEstimate, ...]:
        """Each film's ink, with one pull of the whole gang for a board."""
        return self.outcome.estimates

    @property
    def pulls(self) -> int:
        """How many pulls make every job's boards."""
        return pulls_for_all(self.pieces)


def make_gang(sheet_path: Path, out: Path, *, despite_stops: bool = False,
              say: Say = silent) -> GangOutcome:
    """Make a gang sheet's films, proof, report, ink and operator's sheet.

    With a stop finding of any piece the films are withheld, as of a job.

    Parameters
    ----------
    sheet_path : Path
        The gang sheet.
    out : Path
        The folder, which appears whole or not at all.
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
    sessions = {path: fine_session(path) for path in dict.fromkeys(paths)}
    for session in sessions.values():
        keep_clear_of_inputs(session.job, out)
    jobs = [sessions[path].job for path in paths]
    check_same_settings(jobs)
    # Before the long work: whether there is room at all.
    sheets = {path: session.of(FILM_SHEET) for path, session in sessions.items()}
    lay_pieces(gang, jobs, [sheets[path] for path in paths])
    ready, drawn = {}, {}
    for path, session in sessions.items():
        say(f"Piece {path.name}")
        ready[path] = prepared(session)
        drawn[session.job.path] = draw(session, ready[path], silent)
        session.keep.forget()
    job_shelf(jobs[0])  # a stock list that cannot be read is told before any work
    laid = gang_on_film(gang, place_pieces(gang, [ready[path] for path in paths]))
    findings = tuple(finding for path, job in ready.items()
                     for finding in pinned(laid.pieces, _named(path.name, job.findings),
                                           laid.pieces[paths.index(path)]))
    withheld = has_stop(findings) and not despite_stops
    whole = gang_submission(laid)
    with whole_folder(out) as folder:
        views, proof = gang_views(laid.pieces, drawn, whole)
        (folder / "proof.png").write_bytes(png_bytes(proof, ppi=PROOF_PPI))
        made = (count_gang_films(laid, say) if withheld else
                write_gang_films(laid, folder, say, despite_stops=count_stops(findings)))
        further = () if withheld else tuple(_write_pieces(laid, folder, say))
        say("Writing the report")
        outcome = Outcome(
            submission=whole, findings=findings, films=made.films, withheld=withheld,
            estimates=made.estimates, orders=_orders(jobs, made.estimates), colour=None,
            revision=laid.revision, printed="pull",
            remarks=tuple(_remarks(laid)),
            extra_tables=(_pieces_table(laid), *film_tables(whole, made.films),
                          *lettering_tables(whole), resting_table(whole), limits_table()))
        write_reports(folder, outcome, views)
        (folder / GANG_FILE).write_text(
            gang_json(laid, outcome, (*made.further, *further)), encoding="utf-8", newline="\n")
        return GangOutcome(pieces=laid.pieces, outcome=outcome)


def _orders(jobs: Sequence[Job], estimates: Sequence[InkEstimate]) -> tuple[InkOrder, ...]:
    """The gang's inks held against the stock list, where all jobs name the same."""
    lists = {job.beside(job.stock).resolve() if job.stock else None for job in jobs}
    return job_orders(jobs[0], estimates) if len(lists) == 1 else ()


def _named(file: str, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """A job's findings with its file in front, those told word for word alike only once."""
    told = {(f.grade, f.check, f.subject, f.says, f.mend): f for f in reversed(findings)}
    return tuple(replace(finding, check=f"{file}: {finding.check}")
                 for finding in reversed(told.values()))


def _write_pieces(laid: GangOnFilm, folder: Path, say: Say) -> Iterator[str]:
    """What the jobs ask for that shows one board's tones, in a folder for each job."""
    if not any(word in UNSCREENED_OUTPUTS for word in laid.job.film.also):
        return
    (folder / "pieces").mkdir()
    seen: set[Path] = set()
    for number, piece in enumerate(laid.pieces, 1):
        ready = piece.prepared
        if ready.laid.job.path in seen:
            continue
        seen.add(ready.laid.job.path)
        name = f"pieces/{film_name(number, ready.laid.job.path.stem)}"
        (folder / name).mkdir()
        for file in write_unscreened_pages(ready.laid, ready.separation, ready.overlays,
                                           ready.sheet, folder / name, say,
                                           despite_stops=count_stops(ready.findings)):
            yield f"{name}/{file}"


def _remarks(laid: GangOnFilm) -> Iterator[str]:
    """What was assumed of each job, and where a piece's own marks found no room."""
    for number, own in enumerate(piece_marks(laid.sheet, laid.pieces), 1):
        if len(own.crosses) < _FEWEST_CROSSES:
            yield (f"Piece {number} has room for {len(own.crosses)} of its 4 register crosses: "
                   "a greater 'gap' would make room")
    for path, remarks in {piece.table.job: piece.prepared.laid.remarks
                          for piece in laid.pieces}.items():
        yield from (f"{path}: {remark}" for remark in remarks)


def _pieces_table(laid: GangOnFilm) -> ReportTable:
    return ReportTable(
        title="Pieces", heads=("#Piece", "Job", "Board", "Lies"),
        rows=tuple((str(number), f"{piece.table.job}, revision {piece.prepared.laid.revision}",
                    piece.prepared.laid.job.board.name, piece.told)
                   for number, piece in enumerate(laid.pieces, 1)),
        note="Each piece is screened from its own middle, has its own trim ticks, and register "
             "crosses where neighbours leave room.")


def gang_json(laid: GangOnFilm, outcome: Outcome, further: Sequence[str]) -> str:
    """The gang as JSON text: its pieces, where each lies and is screened from, and its films."""
    marks = piece_marks(laid.sheet, laid.pieces)
    told: dict[str, Any] = {
        "format": 1, "title": laid.gang.title, "date": laid.gang.date.isoformat(),
        "revision": laid.revision,
        "pieces": [{
            "job": piece.table.job, "title": piece.prepared.laid.job.title,
            "board": piece.prepared.laid.job.board.name, "side": piece.prepared.laid.job.side,
            "revision": piece.prepared.laid.revision,
            "turn_deg": 180 if piece.table.is_turned else 0,
            "from_nose_mm": round(piece.from_nose_mm, 3),
            "from_left_mm": round(piece.from_left_mm, 3),
            "image_pixels": [piece.sheet.art_grid.columns, piece.sheet.art_grid.rows],
            "screened_from_film_mm": [round(v, 3) for v in piece.origin_mm],
            "trim_ticks": len(own.ticks), "register_crosses": len(own.crosses),
        } for piece, own in zip(laid.pieces, marks, strict=True)],
        "pulls": outcome.submission.job.boards,
        "scale": list(laid.sheet.scale),
        "films": [{
            "print_order": film.order, "ink": film.ink.name, "file": film.file,
            "page_mm": [round(film.page_width_mm, 3), round(film.page_length_mm, 3)],
            "inked_cm2": round(film.inked_mm2 / 100, 3), "sha256": film.sha256,
            "read_back": "equal to the bit",
            "further": [name for name in further
                        if name.startswith(film.file.removesuffix("pdf"))],
        } for film in outcome.films],
        "further": [name for name in further if name.startswith("pieces/")]}
    return json.dumps(told, indent=1, ensure_ascii=False) + "\n"
