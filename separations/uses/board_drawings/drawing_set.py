"""All drawings of a job's board, written into one folder and read back before they are kept."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from shapely.geometry import LinearRing

from preflight.board.board_outline import BoardOutline
from preflight.board.outline_from_file import read_outline_file
from separations.pipeline.job_folder import job_folder
from separations.pipeline.session import Session
from separations.pipeline.stages import BOARD
from separations.uses.board_drawings.board_lines import TRIM, BoardLines, board_lines
from separations.uses.board_drawings.outline_dxf import dxf_drawing
from separations.uses.board_drawings.outline_svg import svg_drawing
from separations.uses.board_drawings.template_pages import long_page, tiled_pages

DXF_NAME = "outline.dxf"
SVG_NAME = "outline.svg"
LONG_NAME = "template.pdf"
TILED_NAME = "template-a4.pdf"
#: Drawings that stray from the board by more than this (mm) are not kept.
READ_BACK_MM = 0.01


class DrawnBoard(NamedTuple):
    """What was drawn: the board's lines and figures, and what its outline's reader remarked."""

    lines: BoardLines
    remarks: tuple[str, ...]


def draw_board(job_path: Path, out: Path) -> DrawnBoard:
    """Write a job's board as DXF, SVG and templates; its art is not needed.

    Parameters
    ----------
    job_path : Path
        The job file.
    out : Path
        The folder, which appears whole or not at all.

    Raises
    ------
    InputProblem
        When the job or its outline cannot be used, or the folder cannot be written.
    """
    session = Session(job_path)
    with job_folder(session.job, out) as folder:
        board = session.of(BOARD)
        outline = board.outline
        lines = board_lines(session.job, outline, board.area, board.fittings.inserts)
        (folder / DXF_NAME).write_bytes(dxf_drawing(lines))
        (folder / SVG_NAME).write_bytes(svg_drawing(lines))
        (folder / LONG_NAME).write_bytes(long_page(lines))
        (folder / TILED_NAME).write_bytes(tiled_pages(lines))
        for name, layer in ((DXF_NAME, TRIM), (SVG_NAME, lines.layer(TRIM).ident)):
            _read_back(folder / name, layer, outline)
    return DrawnBoard(lines, outline.remarks)


def _read_back(path: Path, layer: str, outline: BoardOutline) -> None:
    """Read a drawing as a user's would be, and refuse one that is another board."""
    read = read_outline_file(path, layer=layer, nose="right")
    strays = LinearRing(read.ring_mm).hausdorff_distance(_centred(outline))
    if strays > READ_BACK_MM:
        raise RuntimeError(f"{path.name} strays from the board by {strays} mm")


def _centred(outline: BoardOutline) -> LinearRing:
    ring = outline.ring_mm
    return LinearRing(ring - (ring.min(axis=0) + ring.max(axis=0)) / 2)
