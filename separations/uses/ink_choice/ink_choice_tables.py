"""An ink choice as plain data: inks.json and inks.csv."""

from __future__ import annotations

import csv
import io
import json
from typing import Any

from separations.colour.job_inks import printed_wood_lab
from separations.ink_need.ink_table import inert
from separations.uses.ink_choice.ink_choice import WORTH_A_SCREEN
from separations.uses.ink_choice.ink_choice_outcome import HelpedColour, InkChoice, SetChoice
from separations.uses.ink_choice.ink_set_score import TAIL, TAIL_PART

FORMAT = 1


def choice_json(choice: InkChoice) -> str:
    """The choice as JSON text, the same for the same job and stock.

    Notes
    -----
    Colour differences are CIEDE2000, colours CIELAB (D50, 2°), shares 0 to 1.
    """
    tree: dict[str, Any] = {
        "format": FORMAT,
        "job": choice.job.title, "stock": choice.stock.name,
        "wood_lab": list(printed_wood_lab(choice.job)),
        "rendering": choice.job.separation.rendering,
        "tone_sum_limit": choice.job.separation.tone_sum_limit.fraction,
        "reference_white_lab": _rounded(choice.white_lab),
        "reference_black_lab": _rounded(choice.black_lab),
        "representative_colours": choice.colours,
        "score": {"tail": TAIL, "part_of_tail": TAIL_PART},
        "too_cool_for_the_press": list(choice.too_cool),
        "least_gain_worth_a_screen_de00": WORTH_A_SCREEN,
        "advised_inks": choice.advised, "advice": choice.advice,
        "sets": [_set(one) for one in choice.sets],
    }
    return json.dumps(tree, indent=1, ensure_ascii=False) + "\n"


def choice_csv(choice: InkChoice) -> str:
    """The choice as CSV (RFC 4180), one row for each ink of each set."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(["inks", "advised", "print_order", "ink", "mean_de00", "worst_tenth_de00",
                     "gain_de00", "separated_mean_de00"])
    for count, one in enumerate(choice.sets, 1):
        for order, ink in enumerate(one.inks, 1):
            writer.writerow([
                count, "yes" if count == choice.advised else "no", order, inert(ink.name),
                f"{one.score.mean_de00:.3f}", f"{one.score.tail_de00:.3f}",
                f"{one.gain_de00:.3f}",
                "" if one.separated_de00 is None else f"{one.separated_de00:.3f}"])
    return stream.getvalue()


def _set(one: SetChoice) -> dict[str, Any]:
    return {
        "inks_in_print_order": [ink.name for ink in one.inks],
        "mean_de00": round(one.score.mean_de00, 4),
        "worst_tenth_de00": round(one.score.tail_de00, 4),
        "score_de00": round(one.score.score, 4), "gain_de00": round(one.gain_de00, 4),
        "separated_mean_de00": None if one.separated_de00 is None
        else round(one.separated_de00, 4),
        "own_rendering_mean_de00": round(one.own_de00, 4),
        "brought_in": list(one.brought_in), "left_out": list(one.left_out),
        "helped_most": [_helped(colour) for colour in one.helped],
    }


def _helped(colour: HelpedColour) -> dict[str, Any]:
    return {"lab": _rounded(colour.lab), "share": round(colour.share, 5),
            "before_de00": round(colour.before_de00, 3),
            "after_de00": round(colour.after_de00, 3)}


def _rounded(lab: tuple[float, float, float] | None) -> list[float] | None:
    return None if lab is None else [round(value, 2) for value in lab]
