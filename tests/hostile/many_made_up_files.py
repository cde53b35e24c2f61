"""Very many made-up files at the readers, without a search for the smallest that fails.

``python -m tests.hostile.many_made_up_files SECONDS [SEED]`` damages sound files of every kind at
random for about so long (computing time), hands them to their readers, and prints what came of them
and each file (in hexadecimal) that ended in anything else than a result or a sentence. Each kind
has the same time, so that most files are of the kinds that are read quickly. Hypothesis
(`tests.hostile.test_fuzzed_readers`) tries fewer and looks for causes.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
import pikepdf

from preflight.art.artwork import open_artwork
from preflight.art.artwork_pixels import load_pixels
from preflight.art.pdf_photo import open_pdf_artwork
from preflight.board.outline_from_file import read_outline_file
from preflight.board.profile_table import read_profile_table
from preflight.files.pdf_file import open_page
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from preflight.tracks.gpx_file import read_gpx
from preflight.tracks.height_grid_file import read_height_grid
from preflight.vector_art.pdf_drawing import painted_page
from separations.colour.measured_files.reading_tables import measured_rows
from separations.colour.press_profile_file import press_profile_toml, read_press_profile
from separations.stock.ink_stock import read_stock
from separations.uses.calibration.weighed_ink import read_weighings
from separations.uses.gang.gang_sheet import read_gang_sheet
from tests.drawn_eggs import egg_path
from tests.hostile.hostile_pictures import DEEP_TIFFS, FORMATS, deep_png, deep_tiff, picture
from tests.hostile.test_fuzzed_tracks import ASCII as HEIGHTS
from tests.pdf_pages import changed, halves, write_pdf
from tests.separations.colour.test_job_profile import PROFILE
from tests.small_art import SMALL_JOB, small_photo, write_small_job
from tests.track_art import gpx_of, walk

#: What is put into texts and into other files.
TEXTS = (b"nan", b"inf", b"-1", b"1e999", b"0", b"'", b'"', b"[", b"]", b"{", b"}", b"\n", b"\0",
         b",", b";", b"\t", b"=", b"#", b"\xc2\xb5", b"\xef\xbb\xbf", b"\xff", b"true", b"[[ink]]",
         b"1979-05-27", b"99999999999999999999", b"</svg>", b"<use href='#a'/>", b"M", b"Z", b"%",
         b"\n10\n1e308\n", b"\n0\nEOF\n", b"endobj", b" 0 R", b"stream", b"/")
NUMBERS = (b"\xff\xff\xff\xff", b"\0\0\0\0", b"\x7f\xff\xff\xff", b"\0\0\xff\xff", b"\x80\0\0\0",
           b"\xff\xff", b"\0", b"\xff", b"\1\0\0\0")
MOST_SECONDS = 20.0
#: Computing time of a kind before the next one's turn (s).
_TURN_S = 1.0


@dataclass(frozen=True, slots=True)
class Reader:
    """A kind of file: a sound one, what reads it, and what is put into it."""

    kind: str
    whole: bytes
    path: Path
    read: Callable[[Path], object]
    words: tuple[bytes, ...]


def spoilt(reader: Reader, chance: random.Random) -> bytes:
    """The sound file with 1 to 6 places changed, most of them near its beginning."""
    raw = bytearray(reader.whole)
    for _ in range(chance.choice((1, 1, 2, 3, 6))):
        at = chance.randrange(min(len(raw), chance.choice((40, 400, len(raw)))) or 1)
        match chance.randrange(9):
            case 0:
                del raw[at:at + chance.randint(1, 40)]
            case 1:
                raw[at:at] = chance.choice(reader.words)
            case 2:
                word = chance.choice(reader.words)
                raw[at:at + len(word)] = word
            case 3:
                end = at + chance.randint(1, 60)
                raw[end:end] = raw[at:end]
            case 4 if not chance.randrange(4):
                del raw[max(at, 8):]
            case _:
                raw[at:at + 1] = bytes([chance.randrange(256)])
        if not raw:
            break
    return bytes(raw)


def readers(folder: Path) -> Iterator[Reader]:
    """Every kind."""
    write_small_job(folder / "job")
    job = read_job(folder / "job" / "marsh.toml")

    def pixels(path: Path, accept_damage: bool = False) -> None:
        loaded = load_pixels(open_artwork(path, accept_damage=accept_damage))
        loaded.band(0, loaded.rows)

    sound = {name: picture(form, side=(48, 32), **how) for name, form, how in FORMATS}
    sound["deep.png"] = deep_png()
    sound.update({name: deep_tiff(kind, small_photo(48, 32), planes=planes)
                  for name, (kind, planes) in DEEP_TIFFS.items()})
    for name, whole in sound.items():
        path = folder / f"picture-{name}"
        yield Reader(name, whole, path, pixels, NUMBERS)
        yield Reader(f"{name}, damage accepted", whole, path,
                     partial(pixels, accept_damage=True), NUMBERS)

    def table(name: str, text: str, read: Callable[[Path], object]) -> Reader:
        return Reader(name, text.encode(), folder / name, read, TEXTS)

    stock = 'name = "Top shelf"\n' + "".join(
        f'[[ink]]\nname = "{ink}"\ncolour = "process {ink}"\n' for ink in ("yellow", "cyan"))
    turn = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    points = "x_mm,y_mm\n" + "".join(
        f"{700 * np.cos(t):.3f},{130 * np.sin(t):.3f}\n" for t in turn)
    egg = ('<svg xmlns="http://www.w3.org/2000/svg" width="1600mm" height="320mm" '
           f'viewBox="-800 -160 1600 320"><path id="b" d="{egg_path()}"/></svg>')

    def outline(path: Path) -> object:
        return read_outline_file(path, unit="mm")

    yield table("job.toml", SMALL_JOB, read_job)
    yield table("stock.toml", stock, read_stock)
    yield table("profile.toml", press_profile_toml(PROFILE), read_press_profile)
    yield table("weighed.csv", "ink,boards,grams used,left in screen grams\nCyan,3,41.5,12\n",
                lambda path: read_weighings(path, job))
    yield table("points.csv", points, outline)
    yield table("egg.svg", egg, outline)
    yield table("walk.gpx", gpx_of(walk(count=5), walk(count=3)), read_gpx)
    yield table("ground.asc", HEIGHTS, lambda path: read_height_grid(path, "EPSG:32626",
                                                                     where="job"))
    yield table("gang.toml", 'title = "Two"\ndate = 2026-11-25\n[[piece]]\njob = "marsh.toml"\n'
                '[[piece]]\njob = "job/marsh.toml"\nturn = 180\n', read_gang_sheet)
    yield table("side.csv", "x_mm,z_mm\n" + "".join(
        f"{x},{20 + (x / 400) ** 2:.1f}\n" for x in range(-800, 801, 50)), read_profile_table)
    yield table("readings.csv", "patch,L,a,b\n" + "".join(
        f"{ink}{tone},{80 - tone / 2},{tone / 3},-{tone / 4}\n" for ink in "CM"
        for tone in range(0, 101, 10)), measured_rows)
    yield table("readings.txt", "CGATS.17\nNUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L "
                "LAB_A LAB_B\nEND_DATA_FORMAT\nNUMBER_OF_SETS 3\nBEGIN_DATA\n1 74 6 26\n2 50 -30 "
                "-40\n3 20 1 2\nEND_DATA\n", measured_rows)
    plain = write_pdf(folder / "whole.pdf", halves)
    page = changed(plain, lambda _: None, compress_streams=False,
                   stream_decode_level=pikepdf.StreamDecodeLevel.all).read_bytes()
    yield Reader("page as a photo", page, folder / "photo.pdf", lambda path: load_pixels(
        open_pdf_artwork(path, None)).band(0, 8), TEXTS)
    yield Reader("page as a drawing", page, folder / "drawing.pdf", lambda path: painted_page(
        open_page(path, None, mark_spots=True), np.eye(3)), TEXTS)


def came_of(reader: Reader, raw: bytes) -> str:
    """``read``, ``refused``, or what else it came to."""
    reader.path.write_bytes(raw)
    began = time.process_time()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            reader.read(reader.path)
        came = "read"
    except InputProblem as problem:
        sound = problem.sentence.isprintable() and len(problem.sentence) < 2000
        came = "refused" if sound else "SENTENCE"
    except Exception:
        came = "FAULT " + " ".join(traceback.format_exc().split())[-400:]
    return came if time.process_time() - began < MOST_SECONDS else f"SLOW, {came}"


def main(seconds: float, seed: int) -> None:
    """Go round all kinds until the time is over."""
    counts: Counter[tuple[str, str]] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        kinds = list(readers(Path(folder)))
        ends, number = time.process_time() + seconds, 0
        while time.process_time() < ends:
            for reader in kinds:
                turn = time.process_time() + _TURN_S
                while time.process_time() < turn:
                    number += 1
                    raw = spoilt(reader, random.Random(f"{seed} {number}"))
                    came = came_of(reader, raw)
                    if came not in ("read", "refused"):
                        print(reader.kind, came, raw.hex()[:20_000], flush=True)  # noqa: T201
                    counts[reader.kind, came[:60]] += 1
    for (kind, came), count in sorted(counts.items()):
        print(f"{kind:36} {count:8} {came}")  # noqa: T201
    print(f"{sum(counts.values())} made-up files")  # noqa: T201


if __name__ == "__main__":
    main(float(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 0)
