"""An ink choice as one self-contained page: the advice, the curve, the small proofs, the sets."""

from __future__ import annotations

import base64
import io
from collections.abc import Sequence
from html import escape
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from preflight.nouns import counted
from separations.colour.colorimetry import lab_to_srgb
from separations.colour.job_inks import printed_wood_lab
from separations.uses.ink_choice.error_curve import error_curve_svg
from separations.uses.ink_choice.ink_choice import WORTH_A_SCREEN
from separations.uses.ink_choice.ink_choice_outcome import InkChoice, SetChoice

_STYLE = """
.proofs { display: grid; gap: 1.1rem; }
.proofs figure { margin: 0; } .proofs img { width: 100%; }
.proofs .advised { outline: 2px solid var(--clear); outline-offset: .5rem; }
.curve { background: var(--panel); width: 100%; max-width: 46rem; height: auto; }
.curve text { font: 13px Georgia, "Times New Roman", serif; fill: var(--ink); }
.curve .soft { fill: var(--soft); } .curve .grid { stroke: var(--line); }
.curve .mean { stroke: var(--note); fill: none; stroke-width: 2.5; }
.curve .tail { stroke: var(--soft); fill: none; stroke-width: 1.5; stroke-dasharray: 5 4; }
.curve .at { fill: var(--note); } .curve .chosen { fill: none; stroke: var(--clear);
  stroke-width: 2.5; }
.inkset { display: inline-block; margin-right: .9em; white-space: nowrap; }
@media screen and (max-width: 40rem) { .curve text { font-size: 19px; } }
tr.advised td { border-bottom-color: var(--clear); font-weight: bold; }
"""


def choice_html(choice: InkChoice, pictures: Sequence[NDArray[np.uint8]]) -> str:
    """The whole page.

    Parameters
    ----------
    choice : InkChoice
        What was chosen.
    pictures : sequence of ndarray of uint8, shape (rows, columns, 3)
        sRGB proof of each set, nose to the right.
    """
    job = choice.job
    sheet = files("separations.report").joinpath("report_page.css")
    style = sheet.read_text(encoding="utf-8") + _STYLE
    title = f"{escape(job.title)}: which inks"
    body = "\n".join((
        f"<header><h1>{title}</h1>",
        f'<p class="facts">{escape(job.board.name)}, {escape(job.wood.name)}; '
        f"{counted(len(choice.stock.ink), 'ink')} on the list "
        f"“{escape(choice.stock.name)}”</p></header>",
        "<main>", f'<p class="verdict clear">{escape(choice.advice)}</p>',
        "<h2>Colour difference by number of inks</h2>", error_curve_svg(choice),
        _proofs(choice, pictures), _sets(choice), _steps(choice), _reckoning(choice), "</main>"))
    return (f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8">\n'
            f'<meta name="viewport" content="width=device-width, initial-scale=1">\n'
            f"<title>{title}</title>\n<style>\n{style}</style></head>"
            f"<body>\n{body}\n</body></html>\n")


def _proofs(choice: InkChoice, pictures: Sequence[NDArray[np.uint8]]) -> str:
    figures = []
    for count, (one, picture) in enumerate(zip(choice.sets, pictures, strict=True), 1):
        kind = ' class="advised"' if count == choice.advised else ""
        names = ", ".join(ink.name for ink in one.inks)
        figures.append(
            f'<figure{kind}><img alt="{escape(f"The board printed with {names}")}" '
            f'src="data:image/jpeg;base64,{_jpeg(picture)}"><figcaption>{counted(count, "ink")}: '
            f"{escape(names)}. Mean ΔE00 {one.score.mean_de00:.1f}.</figcaption></figure>")
    return ("<h2>The board with each set</h2><p>Nose to the right, as the job’s own rendering "
            "would print it with these inks, without line work. The wood’s figure is invented.</p>"
            f'<div class="proofs">{"".join(figures)}</div>')


def _sets(choice: InkChoice) -> str:
    rows, separated = [], 0.0
    for count, one in enumerate(choice.sets, 1):
        kind = ' class="advised"' if count == choice.advised else ""
        separated = one.separated_de00 or separated
        gain = f"{one.gain_de00:.2f}" if count > 1 else ""
        figures = (f"{one.score.mean_de00:.2f}", f"{one.score.tail_de00:.1f}", gain,
                   f"{one.own_de00:.2f}")
        rows.append(f"<tr{kind}><td>{count}</td><td>{_inks(one)}</td>"
                    + "".join(f'<td class="number">{figure}</td>' for figure in figures)
                    + "</tr>")
    heads = ("Mean ΔE00", "Worst tenth", "Gain", "Mean in its own report")
    return ("<h2>The sets</h2>" + _table(("Inks", "In print order"), heads, rows)
            + "<p>Mean and worst tenth of the picture: from the colour aimed at, the same for all "
            "sets, to the nearest that prints. Mean in its own report: against what the set’s own "
            "white and black allow, which is the figure that the report of a job with these inks "
            "gives. A set that can do little is asked for little there, so compare sets by the "
            "first figure.</p><p>A small separation with the advised set, "
            "with the smallest and largest dots that the mesh holds, was measured as a check: "
            f"mean ΔE00 {separated:.2f}, against the same aim as the first figure.</p>")


def _steps(choice: InkChoice) -> str:
    rows = []
    for count, one in enumerate(choice.sets[1:], 2):
        change = f"{', '.join(one.brought_in)} comes in" if len(one.brought_in) == 1 else \
            f"{', '.join(one.brought_in)} come in"
        if one.left_out:
            change += f" for {', '.join(one.left_out)}"
        helped = "".join(
            f'<span class="inkset">{_chip(_srgb(colour.lab))}{colour.before_de00:.1f} → '
            f"{colour.after_de00:.1f}</span>" for colour in one.helped) or "none to see"
        rows.append(f"<tr><td>{count}</td><td>{escape(change)}</td>"
                    f'<td class="number">{one.gain_de00:.2f}</td><td>{helped}</td></tr>')
    if not rows:
        return ""
    top = ('<th scope="col">Inks</th><th scope="col">Change</th>'
           '<th scope="col" class="number">Gain</th>'
           '<th scope="col">Colours that gain most, ΔE00 before and after</th>')
    return ("<h2>What each further ink brings</h2>"
            f'<div class="scroll"><table><tr>{top}</tr>{"".join(rows)}</table></div>')


def _reckoning(choice: InkChoice) -> str:
    ends = ("The job asks for the photograph’s own colours, so all sets are compared by those."
            if choice.white_lab is None or choice.black_lab is None else
            "All sets are compared by the same colours: the photograph’s white at "
            f"{_lab(choice.white_lab)} and its black at {_lab(choice.black_lab)}, the whitest and "
            "the darkest that the whole list prints on this wood.")
    if choice.white_lab not in (None, printed_wood_lab(choice.job)):
        ends += " Leave opaque inks off the list if bare wood is to be the picture’s white."
    cool = ("" if not choice.too_cool else
            f"<p>Left out, because the press at {escape(choice.job.press.temperature.written)} is "
            f"beyond their heat limit: {escape(', '.join(choice.too_cool))}.</p>")
    if choice.past_told:
        cool += f"<p>{escape(choice.past_told)}</p>"
    return (f"<h2>How it was reckoned</h2><p>{ends}</p><p>{counted(choice.colours, 'colour')} "
            f"{'stands' if choice.colours == 1 else 'stand'} for the photograph. "
            "Opaque inks print first, then light to dark. Each set starts from good "
            "sets of one ink less; inks are exchanged one at a time while that helps. Sets are "
            "compared by four parts of the mean and one of the worst tenth. One more ink is worth "
            f"a screen if it brings the mean ΔE00 {WORTH_A_SCREEN:g} nearer: our own rule, half of "
            "what is about the least difference seen side by side (from memory, unverified); "
            "judge by the pictures too.</p>"
            f"{cool}<footer>Solids and overprints on this wood are estimates from each ink over "
            "white, unless they were measured. A trial print decides.</footer>")


def _inks(one: SetChoice) -> str:
    return "".join(f'<span class="inkset">{_chip(srgb)}{escape(ink.name)}</span> '
                   for ink, srgb in zip(one.inks, one.solids_srgb, strict=True))


def _chip(srgb: tuple[int, int, int]) -> str:
    red, green, blue = srgb
    return f'<span class="chip" style="background:#{red:02x}{green:02x}{blue:02x}"></span>'


def _srgb(lab: tuple[float, float, float]) -> tuple[int, int, int]:
    red, green, blue = np.rint(lab_to_srgb(lab) * 255).astype(int)
    return int(red), int(green), int(blue)


def _lab(lab: tuple[float, float, float]) -> str:
    return "L*a*b* " + ", ".join(f"{value:.0f}".replace("-", "−") for value in lab)


def _table(heads: Sequence[str], figures: Sequence[str], rows: Sequence[str]) -> str:
    top = "".join(f'<th scope="col">{head}</th>' for head in heads)
    top += "".join(f'<th scope="col" class="number">{head}</th>' for head in figures)
    return f'<div class="scroll"><table><tr>{top}</tr>{"".join(rows)}</table></div>'


def _jpeg(srgb: NDArray[np.uint8]) -> str:
    stream = io.BytesIO()
    Image.fromarray(srgb).save(stream, "JPEG", quality=88, subsampling=0)
    return base64.b64encode(stream.getvalue()).decode("ascii")
