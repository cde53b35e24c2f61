"""A long day at the layout page: thousands of edits, and neither memory nor complaints grow."""

from __future__ import annotations

import random
import shutil
import tomllib
from pathlib import Path
from statistics import median
from typing import Any

import pytest

from tests.separations.uses.layout_page.conftest import Serve, Served
from tests.separations.uses.layout_page.seen_page import SeenPage

DEMO = Path(__file__).parents[4] / "demo_art"
EDITS, LOOK_EVERY, MOST_MIB = 2000, 4, 1536


def _point(rng: random.Random) -> list[str]:
    return [f"{rng.uniform(-700, 700):.1f} mm", f"{rng.uniform(-100, 100):.1f} mm"]


def _edits(rng: random.Random, document: dict[str, Any]) -> list[dict[str, Any]]:
    """One edit of those that the page makes."""
    notes, lines = document.get("note", []), document.get("line", [])
    inks = [ink["name"] for ink in document["ink"]]
    made: list[list[dict[str, Any]]] = [
        [{"set": ["art", 0, "offset_along"], "to": f"{rng.uniform(-20, 20):.2f} mm"},
         {"set": ["art", 0, "offset_across"], "to": f"{rng.uniform(-5, 5):.2f} mm"}],
        [{"set": ["art", 0, "turn"], "to": round(90 + rng.uniform(-2, 2), 2)}],
        [{"set": ["art", 0, "flip"], "to": rng.choice(["none", "along", "across"])}],
        [{"set": ["art", 0, "exposure"], "to": round(rng.uniform(-1, 1), 2)}],
        [{"set": ["art", 1, "ink"], "to": rng.choice(inks)}],
        [{"set": ["halftone", "ruling"], "to": f"{rng.randint(35, 60)} lpi"}],
        [{"set": ["ink", 0, "angle"], "to": round(rng.uniform(0, 90), 1)}],
        [{"set": ["boards"], "to": rng.randint(1, 40)}],
    ]
    if len(notes) < 12:
        made.append([{"add": "note", "keys": {
            "text": f"Mark {rng.randint(1, 99)}", "at": _point(rng), "ink": rng.choice(inks),
            "label_offset": ["10 mm", "8 mm"]}}])
    if len(lines) < 12:
        made.append([{"add": "line", "keys": {
            "points": [_point(rng) for _ in range(rng.randint(2, 6))], "ink": rng.choice(inks),
            "smooth": rng.random() < 0.5, "arrow": "4 mm"}}])
    if notes:
        at = rng.randrange(len(notes))
        made += [[{"set": ["note", at, "at"], "to": _point(rng)}], [{"remove": "note", "at": at}]]
    if lines:
        at = rng.randrange(len(lines))
        made += [[{"set": ["line", at, "points"], "to": [_point(rng), _point(rng), _point(rng)]}],
                 [{"remove": "line", "at": at}]]
    return rng.choice(made)


def _step(served: Served, rng: random.Random) -> None:
    """An edit, or one taken back, made again or saved."""
    chance = rng.random()
    if chance < 0.1:
        served.told("/api/move", {"by": rng.choice([-1, 1])})
    elif chance < 0.13:
        served.told("/api/save", {})
    else:
        served.edit(*_edits(rng, served.told()["document"]))


@pytest.mark.long
def test_two_thousand_edits_leave_memory_level_and_the_browser_silent(
        driver: Any, serve: Serve, tmp_path: Path) -> None:
    for name in ("fen_lane_158.toml", "estuary_and_heath.jpg", "estuary_lines.png"):
        shutil.copyfile(DEMO / name, tmp_path / name)
    served = serve(tmp_path / "fen_lane_158.toml")
    page, rng, held = SeenPage(driver, served).open().ready(), random.Random(17), []
    for number in range(1, EDITS + 1):
        _step(served, rng)
        if number % LOOK_EVERY == 0:
            page.ready()
        if number % (EDITS // 20) == 0:
            page.until(lambda: not page.script("return import('./store.js').then(({known}) =>"
                       " known.found.pending || known.found.revision !== known.job.revision)"),
                       "all findings")
            held.append(served.memory_mib())
    assert max(held) < MOST_MIB
    assert median(held[10:]) < 1.1 * median(held[2:10]), held
    assert page.complaints() == []
    served.told("/api/save", {})
    saved = tomllib.loads((tmp_path / "fen_lane_158.toml").read_text(encoding="utf-8"))
    assert saved["art"] == served.told()["document"]["art"]
    at_most, undone = 0.0, 0
    while served.told()["undoes"] is not None:  # as fast as a key repeats
        served.told("/api/move", {"by": -1})
        undone += 1
        if undone % 20 == 0:
            at_most = max(at_most, served.memory_mib())
    assert at_most < MOST_MIB
    first = tomllib.loads((DEMO / "fen_lane_158.toml").read_text(encoding="utf-8"))
    assert served.told()["document"] == first | {"date": first["date"].isoformat()}
