"""The command ``topsheet``: words in, sentences and an exit status out; no arithmetic here."""

from __future__ import annotations

import atexit
import gc
import sys

import click

from separations.commands.board_command import outline
from separations.commands.day_command import day
from separations.commands.exit_sentences import PipedGroup, exit_sentence, tell_last
from separations.commands.exposure_command import exposure
from separations.commands.gang_command import gang
from separations.commands.ink_choice_command import inks
from separations.commands.keys_command import keys
from separations.commands.layout_command import layout
from separations.commands.memory_limit import (
    need_address_space,
    watched_memory,
    with_memory_bound,
)
from separations.commands.new_job import new
from separations.commands.preparation_bar import prepared_first
from separations.commands.prepress_commands import check, films, ink, proof
from separations.commands.press_commands import calibrate, profile, wedge
from separations.commands.run_command import run
from separations.commands.stock_command import stock
from separations.commands.stop_signals import stops_like_ctrl_c
from separations.commands.terminal import any_letter_goes, libraries_say_nothing
from separations.runtime.compiled_code import find_place_for_compiled_code, need_home_folder
from separations.runtime.free_memory import return_large_blocks
from separations.runtime.interpreter import settle_interpreter


@click.group(cls=PipedGroup, context_settings={"help_option_names": ["-h", "--help"],
                                            "max_content_width": 96})
@click.version_option(package_name="topsheet")
def topsheet() -> None:
    """Check art for a bamboo board, separate it into inks, and make its screen printing films.

    Exit status: 0 clear or with cares, 1 a finding says stop, 2 bad input or no room, 70 a fault
    of topsheet's own; 130, 143, 129 or 141 when it was stopped.
    """


for command in (check, proof, films, ink, inks, run, day, layout, wedge, gang, exposure):
    topsheet.add_command(with_memory_bound(prepared_first(command)))
for command in (new, calibrate, profile, outline, stock, keys):
    topsheet.add_command(with_memory_bound(command))


def main() -> None:
    """Run the command and leave with its exit status."""
    any_letter_goes()
    libraries_say_nothing()
    return_large_blocks()
    settle_interpreter()
    atexit.register(gc.freeze)  # the last collection would take half a second for nothing
    try:
        find_place_for_compiled_code()
        need_home_folder()
        need_address_space()
        with stops_like_ctrl_c(), watched_memory() as watch:
            topsheet.main(standalone_mode=False, obj=watch)
    except click.exceptions.Exit as leave:
        sys.exit(leave.exit_code)
    except BaseException as fault:  # every fault ends in a sentence and a status
        sentence, status = exit_sentence(fault)
        tell_last(sentence)
        sys.exit(status)
