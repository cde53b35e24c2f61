"""What readers say to a folder of files, each in a process of its own, with time and memory.

``python -m tests.hostile.measured_reading FOLDER`` prints one line of JSON.
"""

from __future__ import annotations

import json
import os
import resource
import signal
import sys
from pathlib import Path

from preflight.art.artwork import open_artwork
from preflight.art.artwork_pixels import ArtPixels, load_pixels
from preflight.art.placement import Placement, place
from preflight.board.outline_from_file import read_outline_file
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from preflight.vector_art.drawn_art import areas_by_ink
from preflight.vector_art.lettering import open_face
from preflight.vector_art.svg_drawing import open_drawing, painted
from preflight.vector_art.svg_text import text_setter

_DRAWINGS = {".dxf", ".svg", ".csv"}
_LONGEST_S = 60


def _read(path: Path) -> str:
    try:
        if path.name.endswith(".art.svg"):
            _draw(path)
        elif path.suffix in _DRAWINGS:
            read_outline_file(path)
        elif path.suffix == ".toml":
            read_job(path)
        else:
            _all_of(load_pixels(open_artwork(path)))
    except InputProblem as problem:
        return f"refused: {problem.sentence}"
    return "read"


def _draw(path: Path) -> None:
    """Draw an SVG as line art on a board of 1.6 m, and gather what each of its inks prints."""
    drawing = open_drawing(path)
    placed = place(drawing.page.width, drawing.page.height, (-800.0, -150.0, 800.0, 150.0),
                   Placement(how="fit"))
    marks, _ = painted(drawing, placed.to_board, text_setter(open_face(), path))
    areas_by_ink(marks, lambda colour: colour, knocks_out=True)


def _all_of(pixels: ArtPixels) -> None:
    step = max(1, 4_000_000 // pixels.columns)
    for row in range(0, pixels.rows, step):
        pixels.band(row, min(row + step, pixels.rows))


def _measured(path: Path) -> dict[str, object]:
    pipe_out, pipe_in = os.pipe()
    child = os.fork()
    if child == 0:
        signal.alarm(_LONGEST_S)
        try:
            said = _read(path)
        except BaseException as fault:
            said = f"FAULT {type(fault).__name__}: {fault}"
        used = resource.getrusage(resource.RUSAGE_SELF)
        os.write(pipe_in, json.dumps([
            said[:2000], used.ru_utime + used.ru_stime, used.ru_maxrss / 1024]).encode())
        os._exit(0)
    os.close(pipe_in)
    with os.fdopen(pipe_out, "rb") as told:
        raw = told.read()
    status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    said, seconds, mib = json.loads(raw) if raw else (f"FAULT ended with {status}", _LONGEST_S, 0)
    return {"said": said, "seconds": seconds, "mib": mib}


if __name__ == "__main__":
    results = {path.name: _measured(path) for path in sorted(Path(sys.argv[1]).iterdir())}
    print(json.dumps(results))  # noqa: T201
