"""Files that the page hands over: bounded, named plainly, read as hostile, kept whole or not."""

from __future__ import annotations

import asyncio
import os
import re
import secrets
import unicodedata
from collections.abc import AsyncIterable
from pathlib import Path
from typing import Any

from preflight.art.artwork import open_artwork
from preflight.board.outline_from_file import read_outline_file
from preflight.files.output_places import is_no_name_on_windows
from preflight.input_problem import InputProblem
from preflight.vector_art.lettering import open_face
from preflight.vector_art.svg_drawing import open_drawing

_PICTURES = (".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp", ".bmp", ".jp2", ".gif", ".psd",
             ".ppm", ".avif")
_OUTLINES = (".dxf", ".svg", ".csv", ".txt")
_FONTS = (".ttf", ".otf")
_MOST_LETTERS = 80


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
    if ending not in (*_PICTURES, *_OUTLINES, *_FONTS):
        raise InputProblem(where=kept or "a file", found=f"a file ending in '{ending}'" if ending
                           else "a file without an ending",
                           would_do="a picture (JPEG, PNG, TIFF), a drawing (SVG, DXF), a table "
                                    "of points (CSV) or a font (TTF, OTF)")
    stem = stem.strip(" .")[:_MOST_LETTERS] or "file"
    return f"_{stem}{ending}" if is_no_name_on_windows(stem + ending) else f"{stem}{ending}"


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


def facts_of(path: Path, *, name: str = "", unit: str | None = None,
             nose: Any = None) -> dict[str, Any]:
    """What a file is, as far as it can be measured.

    Parameters
    ----------
    path : Path
        The file.
    name : str
        What a fault calls it; its own name if left out.
    unit, nose : optional
        Of an outline, where its own word or the wider end will not do.

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
        return _drawing_facts(path, unit, nose)
    except InputProblem as fault:
        raise InputProblem(where=name or path.name, found=fault.found,
                           would_do=fault.would_do) from None


def _drawing_facts(path: Path, unit: str | None, nose: Any) -> dict[str, Any]:
    """An SVG may be art or an outline; all else is an outline."""
    facts: dict[str, Any] = {"kind": "outline"}
    if path.suffix.lower() == ".svg":
        page = open_drawing(path).page
        facts = {"kind": "drawing", "px": [page.width, page.height]}
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
