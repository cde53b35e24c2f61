"""A photograph in one chosen ink: all of its range, and nothing that calls the choice a fault."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest

from preflight.findings import Grade
from separations.pipeline.fact_stages import FINDINGS, TONE_FACTS
from separations.pipeline.session import Session
from separations.pipeline.stages import PHOTO_TONES

Write = Callable[..., Path]


def one_ink(small_job: Write, colour: str, *more: tuple[str, str]) -> Path:
    path = small_job(*more)
    text = path.read_text(encoding="utf-8")
    text = text[:text.index('[[ink]]\nname = "Yellow"')].replace('black_ink = "Black"\n', "")
    path.write_text(text.replace('ink = "Black"', 'ink = "Night"') + (
        f'[[ink]]\nname = "Night"\n{colour}\nangle = 22.5\nheat_limit = "140 °C"\n'),
        encoding="utf-8")
    ramp = np.linspace(0, 255, 1240).astype(np.uint8)
    rows = np.arange(360)[:, None, None] // 120  # grey, red and blue, each to black and to white
    tints = np.array([(1.0, 1.0, 1.0), (0.6, 0.6, 1.0), (1.0, 0.7, 0.5)])[rows[:, 0, 0]]
    cv2.imwrite(str(path.parent / "photo.png"), np.clip(
        ramp[None, :, None] * tints[:, None, :], 0, 255).astype(np.uint8))
    return path


@pytest.mark.parametrize("colour", ['colour = "night blue"', 'colour = "sun orange"',
                                    "over_white = [80, -20, 40]"])
def test_no_finding_calls_the_chosen_ink_a_fault(small_job: Write, colour: str) -> None:
    session = Session(one_ink(small_job, colour), finest_ppi=72.0)
    told = session.of(FINDINGS)
    faults = {one.id for one in told if one.grade is not Grade.CLEAR}
    assert not faults & {"colours-in-reach", "light-first", "opaque-first", "tone-sum",
                         "tone-sum-usual", "angle-between-inks", "ink-moire", "rosette"}
    reach, = (one for one in told if one.id == "colours-in-reach")
    assert "One ink prints the photo light and dark in its own hue" in reach.says
    facts = session.of(TONE_FACTS)
    assert facts is not None
    assert facts.mean_missed_de00 < 0.6
    assert facts.share_out_of_reach < 0.01


def test_the_whole_range_is_used_and_rises_steadily(small_job: Write) -> None:
    """Steps of grey from white to black: bare wood, the solid, and each darker than the last."""
    path = one_ink(small_job, 'colour = "night blue"')
    steps = np.repeat(np.linspace(255, 0, 10).round(), 124)
    cv2.imwrite(str(path.parent / "photo.png"), np.tile(steps, (360, 1)).astype(np.uint8))
    tones = Session(path, finest_ppi=72.0).of(PHOTO_TONES)
    rows = tones.planes[0][:, tones.grid.columns // 2].astype(np.float64) / 65_535
    kept = rows[tones.inside[:, tones.grid.columns // 2]]
    assert kept.min() == 0.0
    printed = tones.model.predict_lab([[kept.max()], [1.0]])
    assert abs(printed[0] - printed[1]).max() < 0.1  # the tone curve is full a little earlier
    levels = [float(np.median(part)) for part in np.array_split(kept, 10)]
    assert (np.diff(levels) > 0.01).all() or (np.diff(levels) < -0.01).all()


def test_grey_says_how_light_a_colour_counts(small_job: Write) -> None:
    """Reds by the red channel are light; by the blue one dark."""
    means = []
    for weights in ("[1, 0, 0]", "[0, 0, 1]"):
        path = one_ink(small_job, 'colour = "night blue"',
                       ('file = "photo.png"', f'file = "photo.png"\ngrey = {weights}'))
        picture = np.full((360, 1240, 3), (40, 60, 230), np.uint8)
        cv2.imwrite(str(path.parent / "photo.png"), picture)
        tones = Session(path, finest_ppi=72.0).of(PHOTO_TONES)
        means.append(float(tones.planes[0][tones.inside].mean()) / 65_535)
    assert means[0] < 0.2
    assert means[1] > 0.6
