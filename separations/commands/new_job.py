"""``topsheet new``: a starter job to change."""

from __future__ import annotations

import re
import shutil
from importlib.resources import as_file, files
from pathlib import Path

import click

from preflight.files.output_places import settled
from preflight.files.renamed_folders import put_in_place
from preflight.files.whole_files import fresh_folder
from preflight.input_problem import InputProblem
from separations.commands.terminal import inert

_JOB = "fen_lane_158.toml"
#: The schemas are what the first line of each of the files names: editors complete by them.
_STARTER = (_JOB, "fen_lane_stock.toml", "estuary_and_heath.jpg",
            "estuary_lines.png", "job_schema.json", "stock_schema.json", "gang_schema.json")
#: Of the demo's wood, which is invented: a job of one's own has it measured or says that it is not.
_WOOD = re.compile(r"^(lab|absorption) = .*$", re.MULTILINE)


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
def new(folder: Path) -> None:
    """Write a starter job into FOLDER: the demo board and its art."""
    place = settled(folder)
    if place.exists() and (not place.is_dir() or any(place.iterdir())):
        raise InputProblem(where=str(folder), found="something there already",
                           would_do="the name of a new or an empty folder")
    with fresh_folder(place) as fresh:
        for name in _STARTER:
            with as_file(files("separations.demo_art") / name) as source:
                if name == _JOB:
                    job = _with_wood_to_measure(source.read_text(encoding="utf-8"))
                    (fresh / name).write_text(job, encoding="utf-8", newline="\n")
                else:
                    shutil.copyfile(source, fresh / name)
        fresh.chmod(0o755)
        former = fresh.with_suffix(".former")
        put_in_place(fresh, place, former)
        shutil.rmtree(former, ignore_errors=True)
    click.echo(inert(f"Wrote {folder / _JOB} and its art. "
                     f"Next: topsheet check {folder / _JOB}"))


def _with_wood_to_measure(job: str) -> str:
    """The demo's job with the wood's figures as remarks, to be filled in."""
    return _WOOD.sub(r"# \g<0>  # measure your own sanded face; until then it is invented", job)
