"""The steps of choosing inks for a job, and the typed call that does them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.nouns import counted
from separations.colour.colorimetry import colour_difference
from separations.colour.display import solid_srgb
from separations.colour.gamut_mapping import common_aim_lab
from separations.colour.inversion import end_colours, seed_tones
from separations.colour.job_inks import curve_of, printed_wood_lab
from separations.colour.print_model import MOST_INKS
from separations.pipeline.job_folder import job_folder
from separations.pipeline.session import Session
from separations.pipeline.stages import LAID_OUT
from separations.planes.laid_out_job import LaidOutJob
from separations.proof.soft_proof import LIGHTER, ProofModels
from separations.runtime.progress import Say, silent
from separations.stock.ink_stock import InkStock, StockInk, read_stock
from separations.uses.ink_choice.ink_choice import (
    MOST_CHOSEN,
    ChosenSet,
    choose_sets,
    inks_worth_a_screen,
)
from separations.uses.ink_choice.ink_choice_outcome import HelpedColour, InkChoice, Lab, SetChoice
from separations.uses.ink_choice.ink_choice_page import choice_html
from separations.uses.ink_choice.ink_choice_tables import choice_csv, choice_json
from separations.uses.ink_choice.ink_set_models import SetModels, print_order
from separations.uses.ink_choice.photo_colours import (
    WeightedColours,
    colours_of,
    photo_layers,
    representative_colours,
)
from separations.uses.ink_choice.small_separation import SmallPhoto, confirmed_mean, small_proof

FloatArray = NDArray[np.float64]

#: Resolution at which the photograph's colours are counted, and that of the small proofs (ppi).
COUNT_PPI = 36.0
SMALL_PROOF_PPI = 20.0
#: Colours that stand for the photograph.
COLOURS = 120
_HELPED = 4
#: A colour counts as helped from this gain on (dE00); less is not seen.
_LEAST_HELP = 0.1


def choose_inks(job_path: Path, stock_path: Path, out: Path, *, most: int = MOST_CHOSEN,
                say: Say = silent) -> InkChoice:
    """Choose the inks of a stock that print a job's photograph best, for 1, 2, ... inks.

    Parameters
    ----------
    job_path : Path
        The job file. Its own ``[[ink]]`` tables have no part in the choice.
    stock_path : Path
        The stock list.
    out : Path
        The folder for inks.html, inks.json and inks.csv; it appears whole or not at all.
    most : int
        Most inks, 1 to 6.
    say : callable
        Told what is being done.

    Raises
    ------
    InputProblem
        When job, stock, outline or art cannot be used, or the folder cannot be written.

    Notes
    -----
    All sets are compared by the same wanted colours. Were each set judged by its own rendering,
    a set without a dark ink would be asked for no darkness and would seem faultless. So the
    photograph's white goes to the whitest, and its black to the darkest, that the whole stock
    prints on this wood under the job's tone sum limit: what a better-chosen set could reach.
    """
    if not 1 <= most <= MOST_CHOSEN:
        raise InputProblem(where="most inks", found=str(most), would_do=f"1 to {MOST_CHOSEN}")
    session = Session(job_path)
    with job_folder(session.job, out) as folder:
        stock = read_stock(stock_path)
        inks, too_cool = _fit_for_press(session.job, stock, stock_path)
        choice, pictures = _chosen(session.of(LAID_OUT), replace(stock, ink=inks), too_cool, most,
                                   say)
        choice = replace(choice, stock=stock)
        say("Writing the page")
        (folder / "inks.html").write_text(choice_html(choice, pictures), encoding="utf-8",
                                           newline="\n")
        (folder / "inks.json").write_text(choice_json(choice), encoding="utf-8", newline="\n")
        (folder / "inks.csv").write_text(choice_csv(choice), encoding="utf-8", newline="")
        return choice


def reference_ends(models: SetModels, tone_sum_limit: float) -> tuple[FloatArray, FloatArray]:
    """Lab of the whitest and the darkest that a stock prints; two arrays of shape (3,).

    The whitest is bare wood or one solid; the darkest is sought among the overprints of the
    eight darkest solids.
    """
    solids = [models.model((place,)).primaries_lab for place in range(len(models.inks))]
    whites = np.array([models.wood_lab, *(solid[1] for solid in solids)])
    darkest = sorted(range(len(solids)), key=lambda place: (solids[place][1][0], place))
    model = models.model(tuple(sorted(darkest[:MOST_INKS])))
    limit = min(tone_sum_limit, float(model.ink_count))
    return whites[int(np.argmax(whites[:, 0]))], end_colours(seed_tones(model, limit))[1]


def _fit_for_press(job: Job, stock: InkStock,
                   path: Path) -> tuple[tuple[StockInk, ...], tuple[str, ...]]:
    """The inks that stand the job's press, and the names of those that do not."""
    pressed = job.stage == "sheet"
    inks = tuple(ink for ink in stock.ink if not (
        pressed and ink.heat_limit and ink.heat_limit.celsius < job.press.temperature.celsius))
    if not inks:
        raise InputProblem(where=f"{path}: ink",
                           found="no ink whose heat_limit reaches the job's press",
                           would_do=f"inks that withstand {job.press.temperature.written}")
    return inks, tuple(ink.name for ink in stock.ink if ink not in inks)


def _chosen(laid: LaidOutJob, stock: InkStock, too_cool: tuple[str, ...], most: int,
            say: Say) -> tuple[InkChoice, tuple[NDArray[np.uint8], ...]]:
    job = laid.job
    say("Counting the photograph's colours")
    layers, _ = photo_layers(laid, COUNT_PPI)
    if not layers:
        raise InputProblem(where=f"{job.path}: art", found="no photograph on the printed area",
                           would_do="at least one [[art]] with kind = \"photo\"")
    solids = stock.solids()
    order = print_order(solids)
    inks = tuple(stock.ink[place] for place in order)
    plain = replace(job.ink[0], tone_curve=None)
    models = SetModels(wood_lab=printed_wood_lab(job), inks=tuple(solids[place] for place in order),
                       curve=curve_of(job, plain),
                       absorbent=job.wood_absorption > 0.0)
    adaptation = job.separation.adaptation
    limit = job.separation.tone_sum_limit.fraction
    white, black = reference_ends(models, limit)
    seen = colours_of(layers)
    wanted = representative_colours(WeightedColours(
        lab=common_aim_lab(seen.lab, white, black, adaptation), shares=seen.shares), COLOURS)
    say(f"Trying sets of {counted(len(inks), 'ink')}")
    sets = choose_sets(models, wanted, limit, most)
    small = SmallPhoto.of(laid, SMALL_PROOF_PPI, white, black)
    advised = inks_worth_a_screen([one.score.mean_de00 for one in sets])
    choices, pictures = [], []
    for count, chosen in enumerate(sets, 1):
        say(f"Drawing the small proof with {count} of them")
        proof = small_proof(small, _proof_models(models, chosen))
        pictures.append(proof.srgb)
        former = sets[count - 2] if count > 1 else None
        confirmed = confirmed_mean(small, models.model(chosen.places)) if count == advised else None
        choices.append(SetChoice(
            inks=tuple(inks[place] for place in chosen.places),
            solids_srgb=tuple(solid_srgb(models.model(chosen.places), i) for i in range(count)),
            score=chosen.score,
            gain_de00=former.score.mean_de00 - chosen.score.mean_de00 if former else 0.0,
            separated_de00=confirmed, own_de00=proof.mean_de00,
            brought_in=_names(inks, chosen, former), left_out=_names(inks, former, chosen),
            helped=_helped(models, wanted, former, chosen) if former else ()))
    return InkChoice(
        job=job, stock=stock, sets=tuple(choices), advised=advised,
        white_lab=_triple(white), black_lab=_triple(black),
        colours=len(wanted.lab), too_cool=too_cool), tuple(pictures)


def _proof_models(models: SetModels, chosen: ChosenSet) -> ProofModels:
    wood = models.model(chosen.places)
    return ProofModels(wood=wood, estimate=wood,
                       lighter_wood=models.on_lighter_wood(LIGHTER).model(chosen.places))


def _names(inks: tuple[StockInk, ...], here: ChosenSet | None,
           there: ChosenSet | None) -> tuple[str, ...]:
    """Names of the inks in one set and not in the other."""
    others = there.places if there else ()
    return tuple(inks[place].name for place in (here.places if here else ())
                 if place not in others)


def _helped(models: SetModels, wanted: WeightedColours, former: ChosenSet,
            chosen: ChosenSet) -> tuple[HelpedColour, ...]:
    before, after = (colour_difference(models.model(one.places).predict_lab(one.tones), wanted.lab)
                     for one in (former, chosen))
    gains = (before - after) * wanted.shares
    rows = [int(row) for row in np.argsort(-gains, kind="stable")[:_HELPED]
            if before[row] - after[row] > _LEAST_HELP]
    return tuple(HelpedColour(lab=_triple(wanted.lab[row]), share=float(wanted.shares[row]),
                              before_de00=float(before[row]), after_de00=float(after[row]))
                 for row in rows)


def _triple(lab: FloatArray) -> Lab:
    return float(lab[0]), float(lab[1]), float(lab[2])
