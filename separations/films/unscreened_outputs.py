"""What a job asks for besides its film PDFs: unscreened separations and a composite."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

from separations.colour.job_inks import whole_model
from separations.films.document_facts import DocumentFacts
from separations.films.film_label import despite_words
from separations.films.film_names import film_name
from separations.films.film_sheet import FilmSheet
from separations.films.film_tiff import write_grey_tiff
from separations.films.ink_spaces import Plates, plate_names
from separations.films.output_intent import output_intent
from separations.films.tiff_read_back import read_back_tiff
from separations.films.tone_pages import ToneSet, flat_rows, write_composite, write_grey
from separations.halftone.film_content import FilmArea, FilmLines
from separations.planes.art_separation import ArtSeparation
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.overlays import Overlay, lines_of
from separations.runtime.progress import Say

COMPOSITE_FILE = "composite.pdf"


def write_unscreened_pages(
    laid: LaidOutJob, separation: ArtSeparation, overlays: tuple[Overlay, ...], sheet: FilmSheet,
    folder: Path, say: Say, *, despite_stops: int = 0,
) -> tuple[str, ...]:
    """Write what ``film.also`` asks for that is not screened; names of the files.

    Labels tell of ``despite_stops`` findings that said stop.

    Raises
    ------
    FilmReadBackError
        When a file does not hold what it was given.
    """
    wanted = [made for word, made in UNSCREENED_OUTPUTS.items() if word in laid.job.film.also]
    if not wanted:
        return ()
    tone_set = _tone_set(laid, separation, overlays, despite_words(despite_stops))
    names: list[str] = []
    for made in wanted:
        say(made.told)
        names += made.write(laid, tone_set, sheet, folder)
    return tuple(names)


def _write_greys(laid: LaidOutJob, tone_set: ToneSet, sheet: FilmSheet,
                 folder: Path) -> Iterator[str]:
    (folder / "grey").mkdir()
    for number, ink in enumerate(laid.job.ink):
        name = f"grey/{film_name(number + 1, ink.name)}"
        write_grey(folder / f"{name}.pdf", tone_set, number, sheet)
        told = DocumentFacts(f"{laid.job.title}: {ink.name}", laid.job.date.isoformat())
        read_back_tiff(write_grey_tiff(folder / f"{name}.tif", flat_rows(tone_set, number),
                                       tone_set.grid, told))
        yield f"{name}.pdf"
        yield f"{name}.tif"


def _write_composite(laid: LaidOutJob, tone_set: ToneSet, sheet: FilmSheet,
                     folder: Path) -> Iterator[str]:
    write_composite(folder / COMPOSITE_FILE, tone_set, sheet, output_intent(laid.job))
    yield COMPOSITE_FILE


class UnscreenedOutput(NamedTuple):
    """What is said while it is made, and what writes it, reads it back and names its files."""

    told: str
    write: Callable[[LaidOutJob, ToneSet, FilmSheet, Path], Iterator[str]]


#: What is made of a job's tones, by its words in ``film.also``.
UNSCREENED_OUTPUTS: dict[str, UnscreenedOutput] = {
    "grey": UnscreenedOutput("Unscreened separations", _write_greys),
    "composite": UnscreenedOutput("Composite", _write_composite),
}


def _tone_set(laid: LaidOutJob, separation: ArtSeparation, overlays: tuple[Overlay, ...],
              despite: str) -> ToneSet:
    job = laid.job
    return ToneSet(
        plates=Plates(plate_names([ink.name for ink in job.ink]), whole_model(job).predict_lab),
        tones=tuple(separation.tones_of(ink, job) for ink in job.ink), grid=separation.grid,
        lines=tuple(_paints(laid, overlays)), printed=laid.area.printed,
        words=f"{job.title} · {job.board.name}{despite}",
        facts=DocumentFacts(job.title, job.date.isoformat()))


def _paints(laid: LaidOutJob, overlays: tuple[Overlay, ...]
            ) -> Iterator[tuple[int, FilmLines | FilmArea]]:
    """What each sheet does to each ink, what it knocks out before what it prints."""
    for sheet in overlays:
        paints = [(number, line) for number, ink in enumerate(laid.job.ink)
                  for line in lines_of(ink, (sheet,))]
        yield from sorted(paints, key=lambda paint: paint[1].action == "print")
