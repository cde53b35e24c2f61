"""The command ``topsheet``: words in, sentences and an exit status out; no arithmetic here."""

from __future__ import annotations

import shutil
import sys
import tempfile
import traceback
from collections.abc import Callable
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

import click

from preflight.findings import Finding, Grade, has_stop
from preflight.input_problem import ExitStatus, InputProblem
from separations.compiled_code import find_place_for_compiled_code

_STARTER = ("fen_lane_158.toml", "fen_lane_stock.toml", "estuary_and_heath.jpg",
            "estuary_lines.png")
_JOB = click.argument("job", type=click.Path(path_type=Path))
_DESPITE = click.option("--despite-stops", is_flag=True,
                        help="Make the films even when a finding says stop.")


def _out(ending: str) -> Callable[[Any], Any]:
    return click.option("--out", type=click.Path(path_type=Path), default=None, metavar="FOLDER",
                        help=f"Where to write (default: the job's name and {ending}, beside it).")


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 96})
@click.version_option(package_name="topsheet")
def topsheet() -> None:
    """Check art for a bamboo board, separate it into inks, and make its screen printing films.

    Exit status: 0 clear or with cares, 1 a finding says stop, 2 bad input, 70 a fault of
    topsheet's own.
    """


@topsheet.command()
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


@topsheet.command()
@_JOB
def check(job: Path) -> None:
    """Say what would go wrong with JOB, and write nothing."""
    from separations.prepress import check_job

    _tell(check_job(job).findings)


@topsheet.command()
@_JOB
@_out("-proof")
def proof(job: Path, out: Path | None) -> None:
    """Draw JOB as it will look on its board, and say what would go wrong."""
    from separations.prepress import make_proof

    target = out or _beside(job, "-proof")
    outcome = make_proof(job, target, say=_say)
    click.echo(f"Wrote {target}")
    _tell(outcome.findings)


@topsheet.command()
@_JOB
@_out("-films")
@_DESPITE
def films(job: Path, out: Path | None, despite_stops: bool) -> None:
    """Check JOB and make its film PDFs."""
    from separations.prepress import make_films

    target = out or _beside(job, "-films")
    outcome = make_films(job, target, despite_stops=despite_stops, say=_say)
    click.echo(f"Wrote {target}" if outcome.films else "No films: a finding says stop.")
    _tell(outcome.findings)


@topsheet.command()
@_JOB
@_out("-ink")
def ink(job: Path, out: Path | None) -> None:
    """Estimate JOB's ink for one board and for the run."""
    from separations.prepress import estimate_job_ink

    target = out or _beside(job, "-ink")
    outcome = estimate_job_ink(job, target, say=_say)
    click.echo(f"Wrote {target}")
    for estimate in outcome.estimates:
        board, run = estimate.board_g, estimate.run_g
        click.echo(f"{_inert(estimate.ink):<20} one board {board.likely:6.1f} g "
                   f"({board.low:.1f} to {board.high:.1f}); run {run.likely:6.0f} g "
                   f"({run.low:.0f} to {run.high:.0f})")


@topsheet.command()
@_JOB
@click.option("--stock", type=click.Path(path_type=Path), required=True, metavar="FILE",
              help="The inks to choose from: a stock list in TOML.")
@click.option("--most", type=click.IntRange(1, 6), default=6, show_default=True,
              help="Most inks to print with.")
@_out("-inks")
def inks(job: Path, stock: Path, most: int, out: Path | None) -> None:
    """Choose from a stock the inks that print JOB's photograph best on its wood."""
    from separations.ink_choice.ink_choice_run import choose_inks

    target = out or _beside(job, "-inks")
    choice = choose_inks(job, stock, target, most=most, say=_say)
    click.echo(f"Wrote {target}")
    for count, one in enumerate(choice.sets, 1):
        click.echo(_inert(f"{count} ink{'s' if count > 1 else ' '}  ΔE00 {one.score.mean_de00:5.2f}"
                          f"  (worst tenth {one.score.tail_de00:5.1f})  "
                          f"{', '.join(ink.name for ink in one.inks)}"))
    click.echo(_inert(choice.advice))


@topsheet.command()
@_JOB
@_out("-out")
@_DESPITE
def run(job: Path, out: Path | None, despite_stops: bool) -> None:
    """Do all of it for JOB: films, proof, report, ink and the operator's sheet."""
    from separations.prepress import run_job

    target = out or _beside(job, "-out")
    outcome = run_job(job, target, despite_stops=despite_stops, say=_say)
    click.echo(f"Wrote {target}")
    _tell(outcome.findings)


@topsheet.command()
@_JOB
@_out("-wedge")
def wedge(job: Path, out: Path | None) -> None:
    """Make the films of a test sheet for JOB's inks, and the list of patches to fill in."""
    from separations.calibration.calibration_run import make_wedge

    target = out or _beside(job, "-wedge")
    made = make_wedge(job, target, say=_say)
    click.echo(f"Wrote {target}: {len(made)} films and the list of patches. Next: print, measure, "
               "fill in, topsheet calibrate.")


@topsheet.command()
@_JOB
@click.argument("measured", type=click.Path(path_type=Path))
@click.option("--weighed", type=click.Path(path_type=Path), default=None, metavar="FILE",
              help="A table of weighed ink: ink, boards, grams used, left in screen grams.")
@_out("-press")
def calibrate(job: Path, measured: Path, weighed: Path | None, out: Path | None) -> None:
    """Make a press profile from JOB's test sheet, its list of patches filled in as MEASURED."""
    from separations.calibration.calibration_run import calibrate as calibrate_press

    target = out or _beside(job, "-press")
    found = calibrate_press(job, measured, target, weighed_path=weighed, say=_say)
    click.echo(f"Wrote {target}")
    for suspect in found.suspects:
        click.echo(_inert(f"look  patch {suspect.patch}: {suspect.says}"))


def main() -> None:
    """Run the command and leave with its exit status."""
    find_place_for_compiled_code()
    try:
        topsheet.main(standalone_mode=False)
    except InputProblem as problem:
        _leave(problem.sentence, ExitStatus.BAD_INPUT)
    except click.exceptions.Exit as leave:
        sys.exit(leave.exit_code)
    except click.ClickException as usage:
        usage.show()
        sys.exit(ExitStatus.BAD_INPUT)
    except (click.Abort, KeyboardInterrupt):
        _leave("Stopped; nothing was written.", 130)
    except Exception as fault:  # the rim: whatever is left is our own fault
        with tempfile.NamedTemporaryFile("w", prefix="topsheet-fault-", suffix=".txt",
                                         delete=False, encoding="utf-8") as kept:
            traceback.print_exc(file=kept)
        _leave(f"topsheet failed through a fault of its own ({type(fault).__name__}); nothing was "
               f"written. Please send {kept.name} to its developers.", ExitStatus.OWN_FAULT)


def _tell(findings: tuple[Finding, ...]) -> None:
    """Print what is not in order, gravest first, and leave with 1 where one says stop."""
    order = (Grade.STOP, Grade.CARE, Grade.NOTE)
    for finding in sorted((f for f in findings if f.grade in order),
                          key=lambda f: order.index(f.grade)):
        click.echo(_inert(f"{finding.grade.value:<5} {finding.check}, {finding.subject}: "
                          f"{finding.says} {finding.mend}"))
    clear = sum(f.grade is Grade.CLEAR for f in findings)
    click.echo(f"{clear} of {len(findings)} figures are in order.")
    if has_stop(findings):
        sys.exit(ExitStatus.STOP_FINDING)


def _say(stage: str) -> None:
    click.echo(_inert(stage), err=True)


def _inert(text: str) -> str:
    """The text on one line without anything that a terminal would obey."""
    return "".join(c if c.isprintable() else " " for c in text).rstrip()


def _beside(job: Path, ending: str) -> Path:
    return job.with_name(f"{job.stem}{ending}")


def _leave(sentence: str, status: int) -> None:
    click.echo(sentence, err=True)
    sys.exit(int(status))
