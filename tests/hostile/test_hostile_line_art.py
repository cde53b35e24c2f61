"""Drawings whose parts lie on each other without end, drawn as line art: bounded, or refused.

What they cost grows with what is in the file, not with how it overlaps.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

Measured = dict[str, dict[str, Any]]
MOST_MIB, MOST_SECONDS = 900, 30
_SVG = ('<svg xmlns="http://www.w3.org/2000/svg" width="1600mm" height="300mm" '
        'viewBox="0 0 1600 300">')


def _squares(count: int, seed: int, apart: float) -> str:
    at = np.random.default_rng(seed).uniform(0, apart, (count, 2))
    return "".join(f"M{x:.4f},{y:.4f}h100v100h-100z" for x, y in at)


def drawings() -> Iterator[tuple[str, str, str]]:
    """Name, SVG, and what must come of it."""
    yield "same triangles", f'<path d="{"M0,0h1v1z" * 100_000}"/>', "read"
    yield "squares on each other", f'<path d="{_squares(4000, 1, 90)}"/>', "read"
    yield "squares on each other, even", (
        f'<path fill-rule="evenodd" d="{_squares(4000, 1, 90)}"/>'), "refused"
    back = _squares(2000, 2, 90) + "".join(
        f"M{x},50v100h100v-100z" for x in range(40))
    yield "squares both ways", f'<path d="{back}"/>', "refused"
    yield "separate squares", "".join(
        f'<path d="M{n % 97},{n % 83}h60v60h-60z"/>' for n in range(4000)), "read"
    star = "".join(f"L{750 + 700 * np.cos(k * 2.399):.2f},{150 + 140 * np.sin(k * 2.399):.2f}"
                   for k in range(4000))
    yield "a star of 4,000 tips", f'<path d="M750,150{star}z"/>', "refused"
    comb = "".join(f"M{n * 0.02:.2f},0h.01v290h-.01z" for n in range(4000))
    rake = "".join(f"M0,{n * 0.02:.2f}v.01h290v-.01z" for n in range(4000))
    yield "a comb through a rake", (
        f'<clipPath id="c"><path d="{comb}"/></clipPath>'
        f'<g clip-path="url(#c)"><path d="{rake}"/></g>'), "refused"
    turns = "".join(f'<path fill="{("black", "red")[n % 2]}" d="M{n % 97},{n % 83}h60v60h-60z"/>'
                    for n in range(4000))
    yield "two inks by turns", turns, "read"
    yield "two inks by turns, apart", "".join(
        f'<circle fill="{("black", "red")[n % 2]}" cx="{n % 80 * 18}" cy="{n // 80 * 5}" r="9"/>'
        for n in range(4000)), "read"
    clips = "".join(f'<clipPath id="c{n}"><path d="{_squares(200, n, 90)}"/></clipPath>'
                    for n in range(60))
    nested = "".join(f'<g clip-path="url(#c{n})">' for n in range(60))
    yield "clips in clips", f"{clips}{nested}<path d='M0,0h90v90z'/>{'</g>' * 60}", "read"
    yield "one clip for many", (
        f'<clipPath id="c"><path d="{_squares(2000, 5, 90)}"/></clipPath>' + "".join(
            f'<path clip-path="url(#c)" d="M{n % 97},{n % 83}h3v3z"/>'
            for n in range(3000))), "read"
    line = 'fill="none" stroke="black"'
    yield "dashes of a micron", (
        f'<path {line} stroke-width=".1" stroke-dasharray=".001" d="M0,1H1000"/>'), "read"
    yield "dashes of a micron, many lines", "".join(
        f'<path {line} stroke-width=".1" stroke-dasharray=".02" d="M0,{n}H1500"/>'
        for n in range(200)), "refused"
    yield "a stroke of 10 m", "".join(
        f'<path {line} stroke-width="10000" stroke-linejoin="round" stroke-linecap="round" '
        f'd="M{n},0L9,{n}L{n},9L3,3"/>' for n in range(2000)), "refused"
    zigzag = "".join(f"L{n % 2 * 1500},{n * 0.01:.2f}" for n in range(20_000))
    yield "a zigzag with a broad pen", (
        f'<path {line} stroke-width="30" stroke-linejoin="round" d="M0,0{zigzag}"/>'), "read"
    yield "text of a megabyte", f'<text x="0" y="9">{"heath " * 170_000}</text>', "refused"
    yield "many small texts", "".join(
        f'<text x="{n % 300}" y="{n % 250}">fen lane</text>' for n in range(20_000)), "refused"


@pytest.mark.long
def test_drawings_are_bounded(tmp_path: Path, measured: Callable[[Path], Measured]) -> None:
    expected = {}
    for name, inside, comes in drawings():
        path = tmp_path / f"{name}.art.svg"
        path.write_text(f"{_SVG}{inside}</svg>", encoding="utf-8")
        expected[path.name] = comes
    for name, result in measured(tmp_path).items():
        said = str(result["said"])
        assert ("refused" if said.startswith("refused: ") else said) == expected[name], result
        assert result["mib"] < MOST_MIB, (name, result)
        assert result["seconds"] < MOST_SECONDS, (name, result)
