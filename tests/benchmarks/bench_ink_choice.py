"""How long choosing 1 to 6 of 24 inks takes, warm, and how near it is to trying all sets.

Run: ``pytest tests/benchmarks/bench_ink_choice.py -s``. The target is 3 s on two cores; a busy
machine shows in the wall time and not in that of the processors.
"""

from __future__ import annotations

import sys
import time
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from separations.colour.ink_colours import InkColour
from separations.colour.tone_curve import PUBLISHED_SCREEN_CURVE
from separations.runtime.parallel_rows import processors
from separations.stock.ink_stock import read_stock
from separations.uses.ink_choice.ink_choice import choose_sets
from separations.uses.ink_choice.ink_choice_run import COLOURS
from separations.uses.ink_choice.ink_set_models import SetModels, print_order
from separations.uses.ink_choice.ink_set_score import nearest_tones_anywhere, set_score
from separations.uses.ink_choice.photo_colours import WeightedColours, representative_colours
from tests.colour_samples import BAMBOO_LAB

STOCK = Path(__file__).parents[2] / "demo_art" / "fen_lane_stock.toml"
LIMIT = 2.6


def _models(count: int, seed: int) -> SetModels:
    """The demo stock with invented inks added until there are so many."""
    chance = np.random.default_rng(seed)
    inks = list(read_stock(STOCK).solids())
    inks = [inks[place] for place in chance.permutation(len(inks))][:count]
    while len(inks) < count:
        light, chroma, hue = chance.uniform(20, 80), chance.uniform(10, 70), chance.uniform(0, 6.28)
        inks.append(InkColour(
            name=f"ink {len(inks)}", opacity=float(chance.choice([0.0, 0.0, 0.5])),
            lab=(float(light), float(chroma * np.cos(hue)), float(chroma * np.sin(hue)))))
    return SetModels(wood_lab=BAMBOO_LAB, inks=tuple(inks[i] for i in print_order(inks)),
                     curve=PUBLISHED_SCREEN_CURVE)


def _colours(count: int, seed: int) -> WeightedColours:
    chance = np.random.default_rng(seed)
    lab = np.column_stack([chance.uniform(22, 88, 4000), chance.normal(2, 22, 4000),
                           chance.normal(10, 25, 4000)])
    return representative_colours(WeightedColours(lab=lab, shares=np.full(4000, 1 / 4000)), count)


def _tell(line: str) -> None:
    sys.stdout.write(line + "\n")


@pytest.mark.benchmark
def test_six_of_twenty_four_inks() -> None:
    colours = _colours(COLOURS, 0)
    choose_sets(_models(24, 3), colours, LIMIT, 6)
    _tell(f"\n{processors()} processors, {len(colours.lab)} colours, 24 inks, 1 to 6 chosen, warm")
    for _ in range(3):
        models = _models(24, 3)
        wall, used = time.perf_counter(), time.process_time()
        chosen = choose_sets(models, colours, LIMIT, 6)
        _tell(f"  {time.perf_counter() - wall:.2f} s, processors' time "
              f"{time.process_time() - used:.2f} s")
    assert len(chosen) == 6


@pytest.mark.benchmark
def test_up_to_three_of_twelve_inks_against_trying_all_sets() -> None:
    worst = 1.0
    for seed in range(8):
        models, colours = _models(12, seed), _colours(60, seed)
        chosen = choose_sets(models, colours, LIMIT, 3)
        for count in (1, 2, 3):
            scores = {}
            for places in combinations(range(12), count):
                model = models.model(places)
                tones = nearest_tones_anywhere(model, colours.lab, LIMIT)
                scores[places] = set_score(model, colours, tones).score
            ratio = scores[chosen[count - 1].places] / min(scores.values())
            worst = max(worst, ratio)
            _tell(f"  stock {seed}, {count} inks: {ratio:.4f} of the best of {len(scores)} sets")
    _tell(f"  worst: {worst:.4f}")
    assert worst < 1.1
