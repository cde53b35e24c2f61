"""What was fitted to a measured test sheet, as one self-contained page."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from preflight.job_file.job import Job
from preflight.nouns import counted
from separations.colour.colorimetry import lab_to_srgb
from separations.colour.press_profile import NINETY, PressProfile
from separations.colour.seen_print_words import seen_print_told
from separations.ink_need.ink_estimate import TRANSFER
from separations.uses.calibration.assumed_n import N_PLAUSIBLE
from separations.uses.calibration.curve_plot import curve_svg, left_over_svg
from separations.uses.calibration.model_choice import ChosenModel
from separations.uses.calibration.patches import Patch
from separations.uses.calibration.press_fit import InkFit, PressFit
from separations.uses.calibration.readings import Readings
from separations.uses.calibration.resampled_fits import FitSpread
from separations.uses.calibration.step_value_table import step_value_table
from separations.uses.calibration.sureness import sureness_told
from separations.uses.calibration.suspects import Suspect
from separations.uses.calibration.tone_value_table import tone_value_table

_STYLE = """
svg { display: block; width: 100%; height: auto; font: 10px Georgia, serif; }
svg text { fill: #5d6863; } .grid { stroke: #d5d8d0; fill: none; } .axis { stroke: #1d2523;
  fill: none; } .even { stroke: #5d6863; stroke-dasharray: 4 4; fill: none; }
.band { fill: #5d686333; } .curve { fill: none; stroke-width: 2.4; } .read { fill: #1d2523; }
.odd { stroke: #9d1c1c; stroke-width: 2; }
.curves { grid-template-columns: repeat(auto-fit, minmax(20rem, 1fr)); }
.pair figure { margin: 0; max-width: 34rem; background: var(--panel); padding: .8rem; }
"""


def calibration_html(
    job: Job, patches: Sequence[Patch], readings: Readings, chosen: ChosenModel,
    suspects: Sequence[Suspect], profile: PressProfile, spread: FitSpread,
) -> str:
    """The whole page."""
    fit = chosen.fit
    style = files("separations.report").joinpath("report_page.css").read_text(encoding="utf-8")
    body = "\n".join((
        f"<header><h1>{escape(job.title)}: what the press makes of it</h1>"
        f'<p class="facts">{_facts(job, fit)}{_condition(readings)}</p></header><main>',
        _verdict(suspects), _look_again(suspects), _curves(job, patches, fit, suspects),
        tone_value_table(job, fit, spread.tone_value_sd),
        step_value_table(job, fit, spread.step_value_sd) if readings.read_from == "scan" else "",
        _colours(job, patches, readings, fit), _transfer(profile), _seen(profile),
        _how(chosen), f"<p>{escape(sureness_told(profile))}</p>", "</main>"))
    return ('<!doctype html>\n<html lang="en"><head><meta charset="utf-8">\n'
            '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
            f"<title>{escape(job.title)}: press profile</title>\n"
            f"<style>\n{style}{_STYLE}</style></head><body>\n{body}\n</body></html>\n")


def _facts(job: Job, fit: PressFit) -> str:
    read = sum(len(ink.places) for ink in fit.inks)
    wood = "" if fit.wood_lab is None else (
        f"; wood {_chip(fit.wood_lab)}L* {fit.wood_lab[0]:.1f}, a* {fit.wood_lab[1]:.1f}, "
        f"b* {fit.wood_lab[2]:.1f}")
    told = "found from the readings" if fit.n_is_fitted else "taken: densities do not tell it"
    return (f"{counted(len(job.ink), 'ink')}, {counted(read, 'reading')} of the wedges; "
            f"{job.date.isoformat()}; Yule-Nielsen n {fit.n:.1f}, {told}{wood}")


def _condition(readings: Readings) -> str:
    told = readings.condition
    if readings.read_from == "scan":
        return f"; {escape(told.says)}"
    mode = f"measurement condition {told.mode} (ISO 13655)" if told.mode else (
        "measurement condition not given")
    return f"; {mode}" + (f", backing {escape(told.backing)}" if told.backing else "")


def _verdict(suspects: Sequence[Suspect]) -> str:
    if not suspects:
        return '<p class="verdict clear">No reading looks wrong.</p>'
    out = sum(suspect.left_out for suspect in suspects)
    left = "none was" if out == 0 else "one was" if out == 1 else f"{out} were"
    one = len(suspects) == 1
    return (f'<p class="verdict care">{len(suspects)} {"reading looks" if one else "readings look"}'
            f" wrong; {left} left out of the curves. Measure again, correct the list and "
            "calibrate once more.</p>")


def _look_again(suspects: Sequence[Suspect]) -> str:
    if not suspects:
        return ""
    rows = [(escape(s.patch), escape(s.says), "left out" if s.left_out else "") for s in suspects]
    return "<h2>Readings to look at again</h2>" + _table(("Patch", "Why", "Curve"), rows)


def _curves(job: Job, patches: Sequence[Patch], fit: PressFit,
            suspects: Sequence[Suspect]) -> str:
    odd = frozenset(suspect.patch for suspect in suspects)
    figures = []
    for table, ink in zip(job.ink, fit.inks, strict=True):
        names = [patches[place].name for place in ink.places]
        gain = ink.curve.printed - ink.curve.film
        most = int(np.argmax(np.abs(gain)))
        part, sd = (float(np.interp(0.5, ink.curve.film, of)) for of in (ink.n_part, ink.told_sd))
        assumed = "" if fit.n_is_fitted else f", {100 * part:.1f} of that since n is assumed"
        says = (f"{table.name}: at most {100 * gain[most]:+.1f} points at "
                f"{100 * ink.curve.film[most]:g} %; 50 % prints "
                f"{100 * ink.curve.area_at(np.array([0.5]))[0]:.1f} % (± "
                f"{100 * NINETY * sd:.1f}{assumed}); readings "
                f"scatter {ink.curve.noise:.1f} times what was expected.")
        figures.append(
            f"<figure><h3>{_ink_chip(ink)}{escape(table.name)}</h3>"
            + curve_svg(ink, _curve_colour(ink), names, odd, says)
            + left_over_svg(ink, names, odd, f"{table.name}: reading less curve")
            + f"<figcaption>{escape(says)}</figcaption></figure>")
    low, high = N_PLAUSIBLE
    band = "." if fit.n_is_fitted else f", with any n from {low:g} to {high:g}."
    return ("<h2>Tone curves</h2><p>Area under ink by film tone, in percent, with a band that "
            f"holds nine times in ten{band} Dots are readings, crosses those that look wrong. "
            "Beneath: reading against curve, in multiples of the noise; above the line prints "
            "darker.</p>"
            f'<div class="pair curves">{"".join(figures)}</div>')


def _colours(job: Job, patches: Sequence[Patch], readings: Readings, fit: PressFit) -> str:
    rows: dict[str, list[tuple[str, ...]]] = {"solid overprint": [], "tint overprint": []}
    for place, patch in enumerate(patches):
        if patch.kind == "wedge" or np.isnan(fit.de00[place]):
            continue
        inks = " + ".join(escape(ink.name) for ink, tone in
                          zip(job.ink, patch.percent, strict=True) if tone)
        tint = "" if patch.kind == "solid overprint" else f" {max(patch.percent):g} %"
        predicted, read = fit.predicted_lab[place], readings.lab[place]
        rows[patch.kind].append((patch.name, inks + tint, _chip(predicted) + _figures(predicted),
                                 _chip(read) + _figures(read), f"{fit.de00[place]:.1f}"))
    if not rows["solid overprint"] and not rows["tint overprint"]:
        return ("<h2>Colours</h2><p>No colours were read of the overprints; jobs go on with "
                "their estimates.</p>")
    heads = ("Patch", "Inks", "Predicted", "Read", "#ΔE00")
    tints = fit.de00[[p.kind == "tint overprint" for p in patches]]
    told = "" if np.isnan(tints).all() else (
        f" Mean {np.nanmean(tints):.1f}, most {np.nanmax(tints):.1f}.")
    solids = ("<h2>Solids on solids</h2><p>Predicted by layering the single solids; jobs that use "
              "this profile take the readings in their place.</p>"
              + _table(heads, rows["solid overprint"]))
    if not rows["tint overprint"]:
        return solids
    return (solids + "<h2>Tints on tints</h2><p>Of these only n was fitted: they show how well "
            f"solids, curves and n predict a print.{told}</p>"
            + _table(heads, rows["tint overprint"]))


def _transfer(profile: PressProfile) -> str:
    weighed = [ink for ink in profile.ink if ink.transfer]
    if not weighed:
        return ""
    rows = [(escape(ink.name), f"{ink.transfer.likely:.2f}",
             f"{ink.transfer.low:.2f} to {ink.transfer.high:.2f}") for ink in weighed
            if ink.transfer]
    return ("<h2>Ink taken</h2><p>Share of the theoretical ink volume that the printed area took, "
            f"by weight. Without weighing {TRANSFER[1]:g} is taken ({TRANSFER[0]:g} to "
            f"{TRANSFER[2]:g}) and what the wood soaks up comes on top.</p>"
            + _table(("Ink", "#Transfer factor", "#Range"), rows))


def _seen(profile: PressProfile) -> str:
    told = [sentence for ink in profile.ink for sentence in seen_print_told(ink.name, ink.seen)]
    if not told:
        return ""
    return ("<h2>Seen on the print</h2>"
            + "".join(f"<p>{escape(sentence)}</p>" for sentence in told))


def _how(chosen: ChosenModel) -> str:
    fit = chosen.fit
    law = ("Murray and Davies" if fit.n == 1 else f"Yule and Nielsen, n = {fit.n:.1f}")
    return ("<h2>How it was fitted</h2><p>Area from reflectance by the law of " + law + " (Murray "
            "1936; Yule and Nielsen 1951); a rising curve with wood and solid found together, "
            "smoothing by restricted likelihood, readings more than four times the noise off left "
            "out; overlaid tints by Demichel and Neugebauer. " + _n_assumed(fit)
            + f"{escape(chosen.says)} A profile holds for the mesh, stencil, ink, squeegee "
            "and wood that it was printed "
            "with.</p>")


def _n_assumed(fit: PressFit) -> str:
    if fit.n_is_fitted:
        return ""
    low, high = N_PLAUSIBLE
    return (f"Densities do not tell n: {fit.n:g} was assumed, and the ± given for each curve holds "
            f"what any n from {low:g} (no scatter) to {high:g} (full scatter) would change. The "
            "areas move with n, but a job's colours are made with the same n, which undoes most "
            "of it. Read colours of the patches to have n found. ")


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    number = [head.startswith("#") for head in heads]

    def line(cells: Sequence[str], tag: str) -> str:
        return "<tr>" + "".join(
            f'<{tag}{" class=" + chr(34) + "number" + chr(34) if right else ""}>{cell}</{tag}>'
            for cell, right in zip(cells, number, strict=True)) + "</tr>"

    head = line([h.removeprefix("#") for h in heads], "th")
    return (f'<div class="scroll"><table><thead>{head}</thead><tbody>'
            + "".join(line(row, "td") for row in rows) + "</tbody></table></div>")


def _figures(lab: NDArray[np.float64]) -> str:
    return " ".join(f"{value:.1f}" for value in lab)


def _css(lab: NDArray[np.float64]) -> str:
    red, green, blue = (round(255 * float(v)) for v in lab_to_srgb(lab))
    return f"#{red:02x}{green:02x}{blue:02x}"


def _chip(lab: NDArray[np.float64]) -> str:
    return f'<span class="chip" style="background:{_css(lab)}"></span>'


def _ink_chip(ink: InkFit) -> str:
    return "" if ink.solid_lab is None else _chip(ink.solid_lab)


def _curve_colour(ink: InkFit) -> str:
    return "#1d2523" if ink.solid_lab is None else _css(ink.solid_lab)
