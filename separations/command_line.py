"""The command ``topsheet``: words in, sentences and an exit status out; no arithmetic here."""

from __future__ import annotations

import sys
import tempfile
import traceback

import click

from preflight.input_problem import ExitStatus, InputProblem
from separations.commands.board_command import outline
from separations.commands.gang_command import gang
from separations.commands.ink_choice_command import inks
from separations.commands.new_job import new
from separations.commands.prepress_commands import check, films, ink, proof, run
from separations.commands.press_commands import calibrate, wedge
from separations.compiled_code import find_place_for_compiled_code


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 96})
@click.version_option(package_name="topsheet")
def topsheet() -> None:
    """Check art for a bamboo board, separate it into inks, and make its screen printing films.

    Exit status: 0 clear or with cares, 1 a finding says stop, 2 bad input, 70 a fault of
    topsheet's own.
    """


for command in (new, check, proof, films, ink, inks, run, wedge, calibrate, outline, gang):
    topsheet.add_command(command)


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


def _leave(sentence: str, status: int) -> None:
    click.echo(sentence, err=True)
    sys.exit(int(status))
