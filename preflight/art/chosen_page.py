"""Which page of a TIFF is read, and what is told of the others."""

from __future__ import annotations

import struct
from pathlib import Path

from preflight.art.embedded_colour import IMAGE_FAULTS
from preflight.art.opened_image import broken_picture
from preflight.art.tiff_page import Directory, TiffPage, byte_order, directories, page_of, tags_at
from preflight.input_problem import InputProblem


def chosen_page(path: Path, number: int | None, remarks: list[str]) -> tuple[int, TiffPage] | None:
    """The page that is meant, counted from 0, and its facts; None for other files than TIFFs.

    Parameters
    ----------
    path : Path
        The picture.
    number : int or None
        Which page is asked for, from 1; None for the only one.
    remarks : list of str
        What is told of the others is added here.

    Raises
    ------
    InputProblem
        When there is no such page, or nobody says which of several is meant, or the file's tags
        make no sense.
    """
    try:
        pages = directories(path)
        if not pages:
            return None
        place = _place(path, pages, number, remarks)
        return place, tiff_page(path, place)
    except (struct.error, *IMAGE_FAULTS) as fault:
        raise broken_picture(path, fault) from None


def tiff_page(path: Path, place: int) -> TiffPage:
    """A TIFF's page, counted from 0; faults as its tags raise them."""
    return page_of(tags_at(path, directories(path)[place]), byte_order(path))


def _place(path: Path, pages: tuple[Directory, ...], number: int | None, remarks: list[str]) -> int:
    whole = [place for place, page in enumerate(pages) if not page.is_copy]
    count = len(pages)
    if number is None and count > 1 and len(whole) != 1:
        raise InputProblem(where=str(path), found=f"{count} pages and no 'page' in the job",
                           would_do=f"page = 1, up to {count},")
    place = number - 1 if number is not None else whole[0] if count > 1 else 0
    if place >= count:
        raise InputProblem(where=str(path), found=f"no page {number} among {count}",
                           would_do=f"a page from 1 to {count}")
    if count > 1:
        remarks.append(f"Page {place + 1} of {count} is read" + (
            "; the others are small copies." if whole == [place] else "."))
    return place
