"""The layout page in a real browser: how long an artist waits, and what the server holds.

``pytest tests/benchmarks/bench_layout.py -s`` prints the tables: the demo job, and the same board
with a photograph of 200 megapixels. All times are taken in the page, from the hand's event to the
frame in which the answer is seen. README's picture of the page is drawn anew.
"""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest

from tests.separations.uses.layout_page.conftest import Served, start_browser, start_server
from tests.separations.uses.layout_page.seen_page import SeenPage

DEMO = Path(__file__).parents[2] / "demo_art"
TIMES = 12
LARGE_PX = (20_000, 10_000)
#: What the page was asked to keep to (ms; frames a second).
WANTED = {"hand rests to new picture": 300, "quick findings": 500, "all findings": 4000,
          "first picture after the command": 4000, "first picture of a later start": 2000,
          "loupe": 250, "time between frames of a drag": 33}
#: In the page: when the hand let go, and when each answer to that was first seen.
WATCH = """
return Promise.all([import('./store.js'), import('./pictures.js')]).then(([s, p]) => {
  window.seen = { picture: [], quick: [], all: [] };
  let rested = 0, waits = new Set();
  addEventListener('pointerup', () => { rested = performance.now();
    waits = new Set(['picture', 'quick', 'all']); window.before = s.known.job.revision; }, true);
  const note = (kind) => { if (!waits.delete(kind)) return;
    requestAnimationFrame(() => setTimeout(() => window.seen[kind].push(
      performance.now() - rested))); };
  const newer = () => s.known.job.revision > window.before;
  s.hears(['shown'], () => { if (newer() && p.isTrue()) note('picture'); });
  s.hears(['found'], () => { const f = s.known.found;
    if (!newer() || f.revision !== s.known.job.revision) return;
    note('quick'); if (!f.pending) note('all'); });
});"""


@pytest.fixture
def demo(tmp_path: Path) -> Path:
    folder = tmp_path / "job"
    folder.mkdir()
    for name in ("fen_lane_158.toml", "estuary_and_heath.jpg", "estuary_lines.png"):
        shutil.copyfile(DEMO / name, folder / name)
    return folder / "fen_lane_158.toml"


@pytest.fixture
def browser() -> Iterator[Any]:
    started = start_browser()
    yield started
    started.quit()


def _with_large_photo(job: Path) -> None:
    """The demo's photograph at 200 megapixels, with grain, as a camera's has."""
    photo = cv2.resize(cv2.imread(str(job.parent / "estuary_and_heath.jpg")), LARGE_PX,
                       interpolation=cv2.INTER_CUBIC)
    grain = np.random.default_rng(17).integers(-6, 7, (500, 500, 3), np.int16)
    for row in range(0, LARGE_PX[1], 500):
        for column in range(0, LARGE_PX[0], 500):
            part = photo[row:row + 500, column:column + 500]
            part[:] = np.clip(part + grain, 0, 255)
    cv2.imwrite(str(job.parent / "estuary_and_heath.jpg"), photo, [cv2.IMWRITE_JPEG_QUALITY, 90])


def _first_picture(browser: Any, job: Path, measured: dict[str, list[float]]) -> Served:
    """Start the command and open what it prints, as the command itself does."""
    begun = time.perf_counter()
    served = start_server(job, job.parent)
    SeenPage(browser, served).open(1440, 900).ready()
    measured["first picture after the command"] = [(time.perf_counter() - begun) * 1000]
    return served


def _later_starts(page: SeenPage, measured: dict[str, list[float]]) -> None:
    for _ in range(TIMES // 2):
        begun = time.perf_counter()
        page.open(1440, 900).ready()
        measured.setdefault("first picture of a later start", []).append(
            (time.perf_counter() - begun) * 1000)


def _drags(page: SeenPage, measured: dict[str, list[float]]) -> None:
    """Drags of the photograph, each followed by a rest until all is found."""
    page.script(WATCH)
    gaps: list[float] = []
    for step in range(TIMES):
        page.script("return import('./bench.js').then(({frames}) => { frames.length = 0; })")
        start = page.at((0.0, 60.0))
        end = (start[0] + (18 if step % 2 else -17), start[1] + (3 if step % 3 else -4))
        page.press_and_move(start, end, steps=40)
        painted = page.script("return import('./bench.js').then(({frames}) => [...frames])")
        gaps += np.diff(painted).tolist()
        page.mouse("mouseReleased", end)
        page.until(partial(page.script, f"return window.seen.all.length > {step}"),
                   "all findings")
        seen = page.script("return window.seen")
        measured["time between frames of a drag"] = gaps
        measured["hand rests to new picture"] = seen["picture"]
        measured["quick findings"] = seen["quick"]
        measured["all findings"] = seen["all"]


def _glances(page: SeenPage, measured: dict[str, list[float]]) -> None:
    from selenium.webdriver.common.keys import Keys

    page.press("Loupe")
    page.until(lambda: page.script(
        "return import('./loupe.js').then(({glances}) => glances.length)"), "the films' dots")
    for near in ("4 ×", "15 ×", "60 ×"):
        page.choose("[data-key='c how near']", near)
        for _ in range(TIMES // 3):
            had = page.script("return import('./loupe.js').then(({glances}) => glances.length)")
            page.script("document.querySelector('.lens').focus()")
            page.keys(Keys.ARROW_RIGHT)
            page.until(partial(page.script, "return import('./loupe.js').then(({glances}) =>"
                               f" glances.length > {had})"), "the loupe")
    measured["loupe"] = page.script("return import('./loupe.js').then(({glances}) => [...glances])")


def _picture_for_readme(page: SeenPage) -> None:
    """The page at a desk and in the hand, side by side and small."""
    parts = []
    for width, height in ((1440, 900), (390, 900)):
        page.open(width, height, touch=width < 500).ready()
        page.until(lambda: "passed" in page.find("#found").text, "all findings")
        page.take("estuary_and_heath")
        if width > 500:
            page.press("Loupe")
            page.until(lambda: page.script(
                "return import('./loupe.js').then(({glances}) => glances.length)"), "dots")
        page.script("window.scrollTo(0, 0)")
        page.ready()
        parts.append(page.window())
        parts.append(np.full((height, 24, 3), 255, np.uint8))
    both = np.hstack(parts[:-1])
    small = cv2.resize(both, None, fx=0.6, fy=0.6, interpolation=cv2.INTER_AREA)
    cv2.imwrite(str(DEMO / "layout_page.jpg"), small, [cv2.IMWRITE_JPEG_QUALITY, 82])


@pytest.mark.benchmark
@pytest.mark.parametrize("photo", ["demo", "200 megapixels"])
def test_how_long_an_artist_waits(browser: Any, demo: Path, photo: str) -> None:
    if photo != "demo":
        _with_large_photo(demo)
    measured: dict[str, list[float]] = {}
    served = _first_picture(browser, demo, measured)
    try:
        page = SeenPage(browser, served)
        page.until(lambda: "passed" in page.find("#found").text, "all findings")
        _later_starts(page, measured)
        _glances(page, measured)
        if photo == "demo":
            _picture_for_readme(page)
        page.open(1440, 900).ready()
        _drags(page, measured)
        assert page.complaints() == []
    finally:
        _tell(photo, measured, served.memory_mib())
        served.end()


def _tell(photo: str, measured: dict[str, list[float]], mib: float) -> None:
    """Print what was measured, also of a run that was broken off."""
    print(f"\n{photo}: {'what':<34}{'p50':>8}{'p95':>8}{'wanted':>9}{'times':>7}")
    for what, wanted in WANTED.items():
        if measured.get(what):
            half, most = np.percentile(measured[what], [50, 95])
            print(f"  {what:<40}{half:8.0f}{most:8.0f}{wanted:9}{len(measured[what]):7}")
    print(f"  the server holds {mib:.0f} MiB")
