"""What other lights do to a print, told in brief."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean
from typing import TYPE_CHECKING

import click

from separations.commands.terminal import inert

if TYPE_CHECKING:
    from separations.colour.light_changes import LightChange


def tell_lights(changes: Sequence[LightChange]) -> None:
    """Print a line for each light: how far colours move, and pairs part that agree under D50."""
    for light in dict.fromkeys(one.light for one in changes):
        mine = [one for one in changes if one.light == light]
        most = max(mine, key=lambda one: one.moves_de00)
        parted = max(mine, key=lambda one: one.parts_de00 or 0.0)
        click.echo(inert(
            f"{light}: colours move by ΔE00 {fmean(one.moves_de00 for one in mine):.1f} on "
            f"average, {most.colour} by {most.moves_de00:.1f}; of pairs that agree under D50, "
            f"{parted.colour} and {parted.beside} part most, by {parted.parts_de00 or 0.0:.1f}."))
