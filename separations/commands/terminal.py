"""What all commands share: their words on the terminal, and where they write."""

from __future__ import annotations

import io
import logging
import sys
import warnings
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from preflight.findings import Finding, Grade, count_stops, has_stop
from preflight.input_problem import ExitStatus
from preflight.job_file.named_paths import files_outside_allowed
from preflight.nouns import counted

if TYPE_CHECKING:
    from separations.ink_need.ink_estimate import InkEstimate
    from separations.ink_need.ink_orders import InkOrder

Command = TypeVar("Command", bound=Callable[..., Any])
#: Remarks told on the terminal, and letters of each.
_MOST_REMARKS, _MOST_LETTERS = 6, 160
DESPITE = click.option("--despite-stops", is_flag=True,
                       help="Make the films even when a finding says stop.")


def JOB(command: Command) -> Command:  # noqa: N802  (stands where a decorator's name stands)
    """The argument that names the job file, and the option that lets it name files anywhere."""
    return click.argument("job", type=click.Path(path_type=Path))(OUTSIDE(command))


def optional_job(command: Command) -> Command:
    """As `JOB`, where a job need not be named."""
    return click.argument("job", type=click.Path(path_type=Path), required=False)(
        OUTSIDE(command))


def OUTSIDE(command: Command) -> Command:  # noqa: N802  (stands where a decorator's name stands)
    """The option that lets a job name files anywhere."""
    return click.option(
        "--allow-outside", is_flag=True, expose_value=False, callback=_allow_outside,
        help="Let JOB name files outside its own folder.")(command)


def JOBS(command: Command) -> Command:  # noqa: N802  (as above)
    """As `JOB`, for one job file or several."""
    return click.argument("jobs", type=click.Path(path_type=Path), nargs=-1, required=True,
                          metavar="JOB...")(OUTSIDE(command))


def _allow_outside(context: click.Context, _option: click.Parameter, wanted: bool) -> None:
    if wanted:
        context.with_resource(files_outside_allowed())


def out_option(ending: str, of: str = "job") -> Callable[[Any], Any]:
    """The option that names the folder to write, with the default told."""
    return click.option("--out", type=click.Path(path_type=Path), default=None, metavar="FOLDER",
                        help=f"Where to write (default: the {of}'s name and {ending}, beside it).")


def tell_remarks(remarks: tuple[str, ...]) -> None:
    """Print what was assumed when the outline and the art were read, in brief."""
    for remark in remarks[:_MOST_REMARKS]:
        click.echo(inert(f"assumed: {remark[:_MOST_LETTERS]}"
                         f"{'…' if len(remark) > _MOST_LETTERS else ''}"))
    if len(remarks) > _MOST_REMARKS:
        click.echo(f"assumed: {len(remarks) - _MOST_REMARKS} more, which the report of "
                   "a run has in full")


def tell_findings(findings: tuple[Finding, ...], remarks: tuple[str, ...] = ()) -> None:
    """Print what is not in order, gravest first, and leave with 1 where one says stop.

    ``remarks`` were assumed.
    """
    tell_each(findings, (Grade.STOP, Grade.CARE, Grade.NOTE))
    clear = sum(f.grade is Grade.CLEAR for f in findings)
    click.echo(f"{clear} of {counted(len(findings), 'check')} passed.")
    tell_remarks(remarks)
    if has_stop(findings):
        sys.exit(ExitStatus.STOP_FINDING)


def tell_each(findings: Sequence[Finding], grades: Sequence[Grade]) -> None:
    """Print the findings of these grades, in the order of the grades."""
    for finding in sorted((f for f in findings if f.grade in grades),
                          key=lambda f: grades.index(f.grade)):
        click.echo(inert(f"{finding.grade.value:<5} {finding.check}, {finding.subject}: "
                         f"{finding.says}"))
        for what, told in (("where", finding.place), ("mend", finding.mend)):
            if told:
                click.echo(inert(f"      {what}: {told}"))


def tell_ink(estimates: Sequence[InkEstimate], printed: str = "board") -> None:
    """Print what each ink needs, and all of them; ``printed`` is what the run prints."""
    from separations.ink_need.ink_table import TIN_G, ink_total

    for estimate in estimates:
        once, run = estimate.board_g, estimate.run_g
        click.echo(f"{inert(estimate.ink):<20} one {printed} {once.likely:6.1f} g "
                   f"({once.low:.1f} to {once.high:.1f}); run {run.likely:6.0f} g "
                   f"({run.low:.0f} to {run.high:.0f})")
    total = ink_total(estimates)
    click.echo(f"{'All inks':<20} one {printed} {total.board_g.likely:6.1f} g "
               f"({total.board_g.low:.1f} to {total.board_g.high:.1f}); run "
               f"{total.run_g.likely:6.0f} g ({total.run_g.low:.0f} to {total.run_g.high:.0f}); "
               f"{counted(total.tins, 'tin')} of {TIN_G:.0f} g")


def tell_orders(orders: Sequence[InkOrder]) -> None:
    """Print what must be ordered and what is past its date, by the stock list of the job."""
    for order in orders:
        for word in order.words:
            click.echo(inert(f"stock {word}"))


def tell_despite(findings: Sequence[Finding]) -> None:
    """Say of films that were made that stops were passed over, in red where there is colour."""
    stops = count_stops(tuple(findings))
    if stops:
        click.secho(f"The films were made despite {counted(stops, 'stop')}, as their labels say.",
                    fg="red")


def tell_cautions() -> None:
    """Remind of what can hurt in the work that films lead to."""
    from separations.report.cautions import REMINDER

    click.echo(REMINDER)


def say(stage: str) -> None:
    """Tell the terminal what is being done."""
    over_the_bar = "\r\033[K" if sys.stderr.isatty() else ""
    try:
        click.echo(over_the_bar + inert(stage), err=True)
    except BrokenPipeError:  # the reading end was closed
        raise
    except OSError:  # a full disk takes the words: no reason to give up the work
        return


def libraries_say_nothing() -> None:
    """Keep libraries' warnings and log lines off the terminal: what matters is a sentence of ours.

    Python's own options (-W, PYTHONWARNINGS) still show warnings.
    """
    if not logging.getLogger().handlers:
        logging.getLogger().addHandler(logging.NullHandler())
    warnings.simplefilter("ignore", append=True)


def any_letter_goes() -> None:
    """Let a terminal that lacks a letter show a question mark for it, and not fail."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def inert(text: str) -> str:
    """The text on one line without anything that a terminal would obey."""
    return "".join(c if c.isprintable() else " " for c in text).rstrip()


def beside(job: Path, ending: str) -> Path:
    """The folder beside a job file that is named after it."""
    return job.with_name(f"{job.stem}{ending}")
