"""``topsheet new``: a starter job to change."""

from __future__ import annotations

import shutil
import tempfile
from importlib.resources import as_file, files
from pathlib import Path

import click

from preflight.input_problem import InputProblem

_STARTER = ("fen_lane_158.toml", "fen_lane_stock.toml", "estuary_and_heath.jpg",
            "estuary_lines.png")


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
def new(folder: Path) -> None:
    """Write a starter job, with the demo board and its art, into FOLDER."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise InputProblem(where=str(folder), found="something there already",
                           would_do="the name of a new or an empty folder")
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=folder.parent, prefix=".topsheet-") as scratch:
            fresh = Path(scratch) / "starter"
            fresh.mkdir()
            for name in _STARTER:
                with as_file(files("demo_art") / name) as source:
                    shutil.copyfile(source, fresh / name)
            fresh.replace(folder)
    except OSError as error:
        raise InputProblem(where=str(folder), found=f"no way to write there ({error.strerror})",
                           would_do="a folder that may be written") from None
    click.echo(f"Wrote {folder / _STARTER[0]} and its art. "
               f"Next: topsheet check {folder / _STARTER[0]}")
