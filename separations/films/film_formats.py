"""What a film may be written as besides its PDF: whole, in panels or for several pieces alike.

A format is added here: a module that writes a page and reads it again, and its row in
`FILM_FORMATS`; its name in `preflight.job_file.job_values.FURTHER_OUTPUTS` makes it a word of jobs.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from pathlib import Path
from typing import Any, NamedTuple, Protocol

from separations.films.film_label import FilmLabel
from separations.films.film_png import read_back_png, write_film_png
from separations.films.film_sheet import FilmSheet
from separations.films.film_tiff import write_film_tiff
from separations.films.marks import Shape
from separations.films.page_bits import PageBits
from separations.films.tiff_read_back import read_back_tiff
from separations.halftone.film_content import FilmDots
from separations.halftone.screening import Screening
from separations.runtime.progress import Progress


class WriteFormat(Protocol):
    """Writes a film's whole page as a file of one format."""

    def __call__(self, path: Path, page: PageBits, *, workers: int = 2,
                 progress: Progress | None = None) -> Any:
        """Write the page, band by band, its resolution included; what was written is returned.

        Any number of ``workers`` gives the same bytes; ``progress`` is told (rows done, rows in
        all) on the calling thread.
        """


class FilmFormat(NamedTuple):
    """One format.

    Attributes
    ----------
    ending : str
        Of its files' names.
    write : callable
        Writes the page, and returns a record of what it wrote.
    read_back : callable
        Holds the file against that record with software that did not write it; raises
        `separations.films.read_back.FilmReadBackError` at the first difference, and for a file
        that is cut short or damaged anywhere.
    """

    ending: str
    write: WriteFormat
    read_back: Callable[[Any], None]


#: The formats by their words in ``film.also``.
FILM_FORMATS: dict[str, FilmFormat] = {
    "tiff": FilmFormat(".tif", write_film_tiff, read_back_tiff),
    "png": FilmFormat(".png", write_film_png, read_back_png),
}


def write_formats(folder: Path, name: str, wanted: Collection[str],
                  content: FilmDots | Screening, sheet: FilmSheet, label: FilmLabel, *,
                  shapes: tuple[Shape, ...] | None = None) -> tuple[str, ...]:
    """Write a film in each of the wanted formats and read it back; the files' names.

    Parameters
    ----------
    folder, name : Path, str
        The output folder, and the film's name below it without an ending.
    wanted : collection of str
        A job's ``film.also``; what is no format of films is left to others.
    content, sheet, label, shapes
        As for `separations.films.film_pdf.write_film`.

    Raises
    ------
    FilmReadBackError
        When a file does not hold the page.
    """
    formats = [made for word, made in FILM_FORMATS.items() if word in wanted]
    if not formats:
        return ()
    page = PageBits(sheet, content, label, shapes)
    for each in formats:
        each.read_back(each.write(folder / f"{name}{each.ending}", page))
    return tuple(f"{name}{each.ending}" for each in formats)
