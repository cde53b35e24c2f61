"""A job begun from a photograph and a board: a folder with a job file that can be read at once."""

from __future__ import annotations

import datetime
import json
import re
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from preflight.files.pdf_file import CROP_BOX
from preflight.files.whole_files import fresh_folder
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import job_of_text
from preflight.units import UnitFault, length

#: Parts of a board's length that its other figures mostly are; offered, never hidden.
#: Common practice, no source.
USUAL_PARTS = {"contact_length": 0.755, "nose_width": 0.188, "waist_width": 0.161}
_USUAL_LENGTH = "158 cm"
_TAPER = "8 mm"
#: What lies at the nose, by how far a picture is turned.
ENDS_AT_NOSE = {0: "top", 90: "right end", 180: "bottom", 270: "left end"}
_FIGURES = ("length", "contact_length", "nose_width", "waist_width", "taper")
_UNITS = ("mm", "cm", "in", "m", "px", "pt")
_NOSES = ("wider end", "right", "left", "top", "bottom")
_INKS = (("Yellow", "process yellow", "7.5"), ("Magenta", "process magenta", "82.5"),
         ("Cyan", "process cyan", "22.5"), ("Black", "process black", "52.5"))
#: A frame's clear inside beyond the board: bleed, marks and free mesh on both sides (mm).
_FRAME_ENDS_MM, _FRAME_SIDES_MM = 420.0, 380.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """What the page asks for.

    Attributes
    ----------
    name : str
        Of the folder and the job file.
    title : str
        Of the job.
    photo : Path
        Where the photograph was received, under its own name.
    turn : int
        Which end of it lies at the nose, by `ENDS_AT_NOSE`.
    page : int or None
        Which page of a PDF it is; None where there is no other.
    page_box : str
        To which of its boxes a PDF's page is read; empty for a picture.
    outline : Path or None
        Where an outline was received; None where figures tell the board.
    board : dict
        Keys of ``[board]``: figures, or ``outline_unit`` and ``outline_nose``.
    size_mm : tuple of float
        The board's length and width, as measured or told.
    """

    name: str
    title: str
    photo: Path
    turn: int
    outline: Path | None
    board: dict[str, str]
    size_mm: tuple[float, float]
    page: int | None = None
    page_box: str = ""


def usual_figures(written: str = _USUAL_LENGTH) -> dict[str, str]:
    """A board's figures as they mostly are for its length, in the unit that it is written in.

    Raises
    ------
    InputProblem
        When the length is none.
    """
    try:
        whole = length(written)
    except UnitFault as fault:
        raise InputProblem(where="the board's length", found=f"'{written}'",
                           would_do=str(fault)) from None
    unit = re.sub(r"[-+0-9.,\s]", "", written) or "mm"
    figures = {"length": whole.written}
    for key, part in USUAL_PARTS.items():
        figures[key] = f"{_in_unit(whole.mm * part, unit)} {unit}"
    return figures | {"taper": _TAPER}


def _in_unit(mm: float, unit: str) -> str:
    return f"{mm / length(f'1 {unit}').mm:.{0 if unit == 'mm' else 2 if unit == 'in' else 1}f}"


def begin_job(begun: Begun, folder: Path) -> Path:
    """Write a new folder with the photograph, the outline and a job file.

    Parameters
    ----------
    begun : Begun
        What is wanted.
    folder : Path
        Where the new folder is made.

    Returns
    -------
    Path
        The job file.

    Raises
    ------
    InputProblem
        When a folder of that name is there, it cannot be written, or the figures make no job.
    """
    name = folder_name(begun.name)
    target = folder / name
    if target.exists() or target.is_symlink():
        raise InputProblem(where=str(target), found="something there already",
                           would_do="another name for the new folder")
    job = target / f"{name}.toml"
    text = starter_text(begun)
    with fresh_folder(target) as fresh:
        for source in (begun.photo, begun.outline):
            if source is not None:
                shutil.copyfile(source, fresh / source.name)
        job_of_text(text, fresh / job.name)  # whatever does not hold is told before it is there
        (fresh / job.name).write_text(text, encoding="utf-8", newline="\n")
        fresh.chmod(0o755)
        fresh.rename(target)
    return job


def folder_name(wanted: str) -> str:
    """A plain name for a folder and a file: letters, digits, dashes and underlines."""
    return re.sub(r"[^\w-]+", "_", wanted.strip(), flags=re.UNICODE).strip("_-")[:60] or "board"


def free_folder_name(folder: Path, wanted: str) -> str:
    """A name that nothing in the folder has."""
    name, number = folder_name(wanted), 2
    while (folder / name).exists() or (folder / name).is_symlink():
        name = f"{folder_name(wanted)}_{number}"
        number += 1
    return name


def starter_text(begun: Begun, today: datetime.date | None = None) -> str:
    """The job file of a board just begun, with a word on each figure that was assumed."""
    board = {"name": begun.title}
    if begun.outline is not None:
        board["outline"] = begun.outline.name
        board |= {key: _one_of(begun.board, key, known) for key, known in (
            ("outline_unit", _UNITS), ("outline_nose", _NOSES)) if begun.board.get(key)}
    else:
        board |= {key: str(begun.board.get(key, "")) for key in _FIGURES}
    long_mm, wide_mm = begun.size_mm
    frame = (_up_to(long_mm + _FRAME_ENDS_MM), _up_to(wide_mm + _FRAME_SIDES_MM))
    rows = [
        f"title = {_toml(begun.title)}",
        f"date = {(today or datetime.date.today()).isoformat()}            # printed on the films",
        'stage = "sheet"              # printed flat, then pressed and trimmed', "boards = 1", "",
        "[board]", *(f"{key} = {_toml(value)}" for key, value in board.items()), "",
        "[[art]]", f"file = {_toml(begun.photo.name)}",
        *([f"page = {begun.page}"] if begun.page else []),
        *([f"page_box = {_toml(begun.page_box)}"] if begun.page_box not in ("", CROP_BOX) else []),
        'kind = "photo"', 'place = "fill"',
        f"turn = {begun.turn}".ljust(30) + f"# its {ENDS_AT_NOSE[begun.turn]} lies at the nose",
        "",
        "[separation]", 'black_ink = "Black"', "",
        "# What follows is common for a start; put in the shop's own.",
        "[halftone]", 'ruling = "45 lpi"', "",
        "[mesh]", 'count = "120/cm"', 'thread = "34 µm"', "",
        "[frame]", f'inside_length = "{frame[0]} cm"', f'inside_width = "{frame[1]} cm"', "",
        "# In print order, light to dark."]
    for name, colour, angle in _INKS:
        rows += ["[[ink]]", f'name = "{name}"', f'colour = "{colour}"', f"angle = {angle}", ""]
    return "\n".join(rows)


def _up_to(mm: float) -> int:
    """Whole tens of centimetres that hold it."""
    return -int(-mm // 100) * 10


def _one_of(board: dict[str, Any], key: str, known: tuple[str, ...]) -> str:
    value = str(board[key])
    if value not in known:
        raise InputProblem(where=key, found=f"'{value}'", would_do=", ".join(known))
    return value


def _toml(text: str) -> str:
    """A text as TOML writes it."""
    return json.dumps(" ".join(text.split()), ensure_ascii=False).replace("\x7f", "")
