"""Every reader meets what it never expected: it reads it, or says in a sentence why not.

Each test tries a number of made-up files, the same ones every time; ``TOPSHEET_FUZZ=50`` tries
fifty times as many and ``pytest -s`` then tells how many that were.
"""

from __future__ import annotations

import os
import time
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from preflight.art.artwork import open_artwork
from preflight.art.artwork_pixels import load_pixels
from preflight.art.pdf_photo import open_pdf_artwork
from preflight.board.outline_from_file import read_outline_file
from preflight.files.pdf_file import open_page
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from preflight.vector_art.pdf_drawing import painted_page
from separations.colour.press_profile_file import press_profile_toml, read_press_profile
from separations.stock.ink_stock import read_stock
from separations.uses.board_drawings.drawing_set import draw_board
from separations.uses.calibration.patches import patches_csv, sheet_patches
from separations.uses.calibration.sheet_by_tones import read_sheet
from separations.uses.calibration.weighed_ink import read_weighings
from tests.drawn_eggs import egg_path
from tests.hostile.hostile_pictures import (
    DEEP_TIFFS,
    FORMATS,
    deep_png,
    deep_tiff,
    picture,
)
from tests.pdf_pages import changed, halves, write_pdf
from tests.separations.colour.test_job_profile import PROFILE
from tests.small_art import SMALL_JOB, small_photo, write_small_job

TIMES = int(os.environ.get("TOPSHEET_FUZZ", "1"))
MOST_SECONDS = 20.0
COUNTS: Counter[str] = Counter()
STOCK = 'name = "Top shelf"\n' + "".join(
    f'[[ink]]\nname = "{name}"\ncolour = "process {name}"\nheat_limit = "140 °C"\n'
    for name in ("yellow", "cyan"))
WEIGHED = "ink,boards,grams used,left in screen grams\nCyan,3,41.5,12\nBlack,3,30.25,\n"
#: Words that turn readers' heads.
WORDS = ("nan", "inf", "-1", "1e999", "0", "'", '"', "[", "]", "{", "}", "\n", "\\u0000", "\x00",
         ",", ";", "\t", "=", "#", "µ", "％", "٣", "\ufeff", "\ud7ff", "true", "[[ink]]",
         "1979-05-27",
         "99999999999999999999", "0x", "…", "</svg>", "<use href='#a'/>", "M", "Z", "%", "&#x0;",
         "\n0\nINSERT\n", "\n10\n1e308\n", "\n70\n-1\n", "\n0\nEOF\n")


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    folder = tmp_path_factory.mktemp("fuzz")
    write_small_job(folder / "job")
    yield folder
    if TIMES > 1:
        print(f"\nmade-up files: {sum(COUNTS.values())}, "  # noqa: T201  (asked for)
              f"of which {dict(sorted(COUNTS.items()))}")


def steady(count: int) -> Callable[[Callable[..., None]], Callable[..., None]]:
    return settings(max_examples=count * TIMES, derandomize=True, deadline=None, database=None,
                    suppress_health_check=list(HealthCheck))


def reads_or_refuses(kind: str, read: Callable[[], object]) -> None:
    began = time.process_time()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            read()
        said = ""
    except InputProblem as problem:
        said = problem.sentence
    COUNTS[f"{kind} refused" if said else f"{kind} read"] += 1
    assert not said or said.isprintable()
    assert len(said) < 2000
    assert time.process_time() - began < MOST_SECONDS


@st.composite
def spoilt_text(draw: st.DrawFn, whole: str) -> bytes:
    """A text with pieces taken out, doubled, exchanged, or put in; now and then with wild bytes."""
    text = whole
    for _ in range(draw(st.integers(1, 5))):
        start = draw(st.integers(0, max(0, len(text) - 1)))
        end = min(len(text), start + draw(st.integers(0, 30)))
        match draw(st.integers(0, 4)):
            case 0:
                text = text[:start] + text[end:]
            case 1:
                text = text[:end] + text[start:]
            case 2:
                text = text[:start] + draw(st.sampled_from(WORDS)) + text[start:]
            case 3:
                text = text[:start] + draw(st.sampled_from(WORDS)) + text[end:]
            case _:
                text = text[:start] + draw(st.text(max_size=8)) + text[end:]
    raw = text.encode("utf-8", "surrogatepass")
    return raw if draw(st.integers(0, 9)) else draw(spoilt_bytes(raw))


@st.composite
def spoilt_bytes(draw: st.DrawFn, whole: bytes) -> bytes:
    """A file with bytes changed, mostly near its beginning, put in or cut off."""
    raw = bytearray(whole)
    for _ in range(draw(st.integers(1, 8))):
        most = draw(st.sampled_from((40, 400, max(1, len(raw) - 1))))
        at = draw(st.integers(0, min(most, max(0, len(raw) - 1))))
        match draw(st.integers(0, 4)):
            case 0:
                del raw[at:at + draw(st.integers(1, 40))]
            case 1:
                raw[at:at] = draw(st.binary(max_size=12))
            case 2:
                raw[at:at + 4] = draw(st.sampled_from((b"\xff" * 4, b"\0" * 4, b"\x7f\xff\xff\xff",
                                                       b"\0\0\xff\xff", b"\x80\0\0\0")))
            case _:
                raw[at:at + 1] = draw(st.binary(min_size=1, max_size=1))
    return bytes(raw)


TEXTS = {"job": SMALL_JOB, "stock": STOCK, "profile": press_profile_toml(PROFILE),
         "weighed": WEIGHED}


@pytest.mark.parametrize("kind", TEXTS)
def test_tables(kind: str, place: Path) -> None:
    path = place / f"{kind}.txt"
    job = read_job(place / "job" / "marsh.toml")
    read: Callable[[], object] = {
        "job": lambda: read_job(path), "stock": lambda: read_stock(path),
        "profile": lambda: read_press_profile(path),
        "weighed": lambda: read_weighings(path, job)}[kind]

    @steady(150)
    @given(spoilt_text(TEXTS[kind]))
    def attempt(raw: bytes) -> None:
        path.write_bytes(raw)
        reads_or_refuses(kind, read)

    attempt()


def test_lists_of_patches(place: Path) -> None:
    job = read_job(place / "job" / "marsh.toml")
    patches = sheet_patches(job)
    lines = patches_csv(job, patches).splitlines()[:12]
    path = place / "patches.csv"

    @steady(100)
    @given(spoilt_text("\n".join([lines[0], *(f"{line[:-6]}0.5,,,,,," for line in lines[1:])])))
    def attempt(raw: bytes) -> None:
        path.write_bytes(raw)
        reads_or_refuses("patches", lambda: read_sheet(path, job)[1])

    attempt()


def _points() -> str:
    turn = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    return "x_mm,y_mm\n" + "".join(f"{700 * np.cos(t):.3f},{130 * np.sin(t):.3f}\n" for t in turn)


@pytest.fixture(scope="module")
def drawings(place: Path) -> dict[str, bytes]:
    draw_board(place / "job" / "marsh.toml", place / "outline")
    return {"points.csv": _points().encode(),
            "egg.svg": (f'<svg xmlns="http://www.w3.org/2000/svg" width="1600mm" height="320mm" '
                        f'viewBox="-800 -160 1600 320"><g id="a" transform="scale(1)"><path id="b" '
                        f'd="{egg_path()}"/></g><use href="#b" x="1"/></svg>').encode(),
            "ours.svg": (place / "outline" / "outline.svg").read_bytes(),
            "ours.dxf": (place / "outline" / "outline.dxf").read_bytes(),
            "small.dxf": _small_dxf()}


def _small_dxf() -> bytes:
    arcs = "".join(f"0\nLINE\n8\n0\n10\n{700 * np.cos(a):.3f}\n20\n{130 * np.sin(a):.3f}\n11\n"
                   f"{700 * np.cos(b):.3f}\n21\n{130 * np.sin(b):.3f}\n"
                   for a, b in zip(*(np.linspace(0, 2 * np.pi, 13)[k:12 + k] for k in (0, 1)),
                                   strict=True))
    more = ("0\nCIRCLE\n8\n1\n10\n0\n20\n0\n40\n5\n"
            "0\nARC\n8\n1\n10\n0\n20\n0\n40\n5\n50\n0\n51\n90\n"
            "0\nELLIPSE\n8\n1\n10\n0\n20\n0\n11\n9\n21\n0\n40\n0.5\n41\n0\n42\n6.28\n"
            "0\nSPLINE\n8\n1\n70\n8\n71\n3\n72\n8\n73\n4\n"
            + "".join(f"40\n{k}\n" for k in (0, 0, 0, 0, 1, 1, 1, 1))
            + "".join(f"10\n{k}\n20\n{k * k}\n" for k in range(4)))
    return f"0\nSECTION\n2\nENTITIES\n{arcs}{more}0\nENDSEC\n0\nEOF\n".encode()


@pytest.mark.parametrize("name", ["points.csv", "egg.svg", "ours.svg", "ours.dxf", "small.dxf"])
def test_outlines(name: str, place: Path, drawings: dict[str, bytes]) -> None:
    path = place / f"spoilt-{name}"

    @steady(60)
    @given(spoilt_text(drawings[name].decode()))
    def attempt(raw: bytes) -> None:
        path.write_bytes(raw)
        reads_or_refuses(name, lambda: read_outline_file(path, unit="mm"))

    attempt()


@pytest.mark.parametrize("as_what", ["photo", "drawing"])
def test_pages_of_pdfs(as_what: str, place: Path) -> None:
    plain = write_pdf(place / "whole.pdf", halves)
    whole = changed(plain, lambda _: None, compress_streams=False,
                    stream_decode_level=pikepdf.StreamDecodeLevel.all).read_bytes()
    path = place / f"spoilt-{as_what}.pdf"

    def read() -> None:
        if as_what == "photo":
            load_pixels(open_pdf_artwork(path, None)).band(0, 8)
        else:
            painted_page(open_page(path, None, mark_spots=True), np.eye(3))

    @steady(60)
    @given(spoilt_bytes(whole))
    def attempt(raw: bytes) -> None:
        path.write_bytes(raw)
        reads_or_refuses(f"pdf as {as_what}", read)

    attempt()


PICTURES: dict[str, Callable[[], bytes]] = {
            **{name: partial(picture, form, side=(48, 32), **how) for name, form, how in FORMATS},
            "deep.png": deep_png,
            **{name: partial(deep_tiff, kind, small_photo(48, 32), planes=planes)
               for name, (kind, planes) in DEEP_TIFFS.items()}}


@pytest.mark.parametrize("name", PICTURES)
def test_pictures(name: str, place: Path) -> None:
    whole = PICTURES[name]()
    path = place / f"spoilt-{name}"

    def read() -> None:
        pixels = load_pixels(open_artwork(path))
        pixels.band(0, pixels.rows)

    @steady(40)
    @given(spoilt_bytes(whole))
    def attempt(raw: bytes) -> None:
        path.write_bytes(raw)
        reads_or_refuses(name, read)

    attempt()
