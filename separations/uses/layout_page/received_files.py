"""Files that the page hands over: bounded, named plainly, read as hostile, kept whole or not."""

from __future__ import annotations

import asyncio
import os
import re
import secrets
import unicodedata
from collections.abc import AsyncIterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, get_args

import numpy as np

from preflight.art.artwork import open_artwork
from preflight.board.outline_from_file import read_outline_file
from preflight.files.output_places import is_no_name_on_windows
from preflight.files.pdf_file import CROP_BOX, open_page
from preflight.input_problem import InputProblem
from preflight.job_file.job_values import PageBox
from preflight.units import MM_PER_INCH, POINTS_PER_INCH
from preflight.vector_art.drawn_art import colours_in
from preflight.vector_art.lettering import open_face
from preflight.vector_art.pdf_drawing import painted_page
from preflight.vector_art.svg_drawing import open_drawing
from preflight.vector_art.svg_lengths import PX_PER_INCH

_PICTURES = (".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp", ".bmp", ".jp2", ".gif", ".psd",
             ".ppm", ".avif")
_OUTLINES = (".dxf", ".svg", ".csv", ".txt")
_FONTS = (".ttf", ".otf")
_PAGES = (".pdf",)
_MOST_LETTERS = 80
_MM_PER_PT = MM_PER_INCH / POINTS_PER_INCH


def plain_name(name: str) -> str:
    """A file name that any system takes, without folders: what a stranger named a file.

    Raises
    ------
    InputProblem
        When its ending is of no kind that a job can use.
    """
    last = re.split(r"[/\\]", unicodedata.normalize("NFC", name))[-1]
    kept = re.sub(r"[^\w.+ -]", "_", last, flags=re.UNICODE).strip(" .")
    stem, dot, ending = kept.rpartition(".")
    ending = f".{ending.lower()}" if dot else ""
    if ending not in (*_PICTURES, *_OUTLINES, *_FONTS, *_PAGES):
        raise InputProblem(where=kept or "a file", found=f"a file ending in '{ending}'" if ending
                           else "a file without an ending",
                           would_do="a picture (JPEG, PNG, TIFF), a PDF, a drawing (SVG, DXF), a "
                                    "table of points (CSV) or a font (TTF, OTF)")
    stem = stem.strip(" .")[:_MOST_LETTERS] or "file"
    return f"_{stem}{ending}" if is_no_name_on_windows(stem + ending) else f"{stem}{ending}"


@dataclass(frozen=True, slots=True)
class PageAsked:
    """Which page of a PDF, from 1, and to which of its boxes it is read."""

    number: int
    boundary: str


FIRST_PAGE = PageAsked(1, CROP_BOX)


def page_asked(asked: dict[str, Any]) -> PageAsked:
    """The page that a message names in ``page`` and ``box``, by default the first.

    Raises
    ------
    InputProblem
        When it names none.
    """
    number, boundary = asked.get("page", 1), asked.get("box") or CROP_BOX
    if isinstance(number, bool) or not isinstance(number, int) or number < 1 \
            or boundary not in get_args(PageBox):
        raise InputProblem(where="the page", found="no page of a PDF",
                           would_do="its number, from 1, and one of its boxes,")
    return PageAsked(number, boundary)


def free_name(folder: Path, name: str) -> Path:
    """A place in a folder that nothing stands at: the name, or with a number."""
    path = folder / name
    number = 2
    while path.exists() or path.is_symlink():
        path = folder / f"{Path(name).stem}-{number}{Path(name).suffix}"
        number += 1
    return path


async def received(parts: AsyncIterable[bytes], folder: Path, name: str) -> Path:
    """Take a file from the page into a folder, under a free name.

    Raises
    ------
    InputProblem
        When it is of no kind that a job can use, cannot be read as what it claims to be, or the
        folder takes no more; then nothing is left of it.
    """
    target = free_name(folder, plain_name(name))
    fresh = folder / f".{target.stem[:40]}.{secrets.token_hex(4)}.unfinished{target.suffix}"
    try:
        descriptor = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL
                             | getattr(os, "O_BINARY", 0), 0o644)
        with os.fdopen(descriptor, "wb") as stream:
            async for part in parts:
                stream.write(part)
        await asyncio.to_thread(facts_of, fresh, name=target.name)
        target = free_name(folder, target.name)
        fresh.rename(target)
    except OSError as fault:
        raise InputProblem(where=target.name,
                           found=f"no way to keep it ({(fault.strerror or 'an error').lower()})",
                           would_do="a disk with room that may be written") from None
    finally:
        fresh.unlink(missing_ok=True)
    return target


def facts_of(path: Path, *, name: str = "", unit: str | None = None, nose: Any = None,
             page: PageAsked = FIRST_PAGE) -> dict[str, Any]:
    """What a file is, as far as it can be measured.

    Parameters
    ----------
    path : Path
        The file.
    name : str
        What a fault calls it; its own name if left out.
    unit, nose : optional
        Of an outline, where its own word or the wider end will not do.
    page : PageAsked
        Of a PDF, which page of it, and what of that.

    Raises
    ------
    InputProblem
        When it cannot be read as what its name says.
    """
    ending = path.suffix.lower()
    try:
        if ending in _FONTS:
            open_face(path)
            return {"kind": "font"}
        if ending in _PICTURES:
            picture = open_artwork(path)
            return {"kind": "picture", "px": [picture.width_px, picture.height_px],
                    "remarks": list(picture.remarks), "grey": picture.is_grey,
                    "transparent": picture.has_alpha}
        if ending in _PAGES:
            return _page_facts(path, page)
        return _drawing_facts(path, unit, nose)
    except InputProblem as fault:
        raise InputProblem(where=name or path.name, found=fault.found,
                           would_do=fault.would_do) from None


def _page_facts(path: Path, asked: PageAsked) -> dict[str, Any]:
    """A page as a picture of a pixel to the point, and whether it may be line work as well."""
    page = open_page(path, asked.number, boundary=asked.boundary, mark_spots=True)
    try:
        colours: tuple[str, ...] | None = colours_in(painted_page(page, np.eye(3)))
    except InputProblem:
        colours = None  # more than plain paths: a photo it is
    return {"kind": "page", "px": [round(page.width_pt), round(page.height_pt)],
            "page": page.number, "pages": page.pages, "box": asked.boundary,
            "mm": [page.width_pt * _MM_PER_PT, page.height_pt * _MM_PER_PT],
            "colours": colours, "remarks": list(page.remarks[1:])}


def _drawing_facts(path: Path, unit: str | None, nose: Any) -> dict[str, Any]:
    """An SVG may be art or an outline; all else is an outline."""
    facts: dict[str, Any] = {"kind": "outline"}
    if path.suffix.lower() == ".svg":
        page = open_drawing(path).page
        facts = {"kind": "drawing", "px": [page.width, page.height],
                 "mm": [side * MM_PER_INCH / PX_PER_INCH for side in (page.width, page.height)]}
    try:
        outline = read_outline_file(path, unit=unit, nose=nose if path.suffix.lower() in (
            ".dxf", ".svg") else None)
        facts["outline"] = {"length": outline.length_mm, "width": outline.width_mm,
                            "remarks": list(outline.remarks),
                            "ring": [[round(float(x), 1), round(float(y), 1)]
                                     for x, y in outline.ring_mm[::max(1, len(
                                         outline.ring_mm) // 400)]]}
    except InputProblem as fault:
        if facts["kind"] == "outline" and unit is None and "unit" not in fault.would_do:
            raise
        facts["fault"] = f"found {fault.found}; {fault.would_do} would do."
    return facts
