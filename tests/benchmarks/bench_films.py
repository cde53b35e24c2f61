"""Films at full size: each stage's rate, peak memory, and the plain way in the same run.

Run with ``pytest tests/benchmarks/bench_films.py -s``. Times depend on the machine; what is
looked at is their ratios. Nothing here fails on a clock.
"""

from __future__ import annotations

import subprocess
import sys
import time
import zlib
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from preflight.frames.film_scale import Bounds
from preflight.frames.raster_grid import grid_over
from preflight.press.halftone_spec import HalftoneSpec
from separations.films.film_formats import FILM_FORMATS
from separations.films.film_label import FilmLabel
from separations.films.film_pdf import write_film
from separations.films.film_record import Coding
from separations.films.film_sheet import film_sheet
from separations.films.group4 import code_rows
from separations.films.page_bits import PageBits
from separations.films.read_back import read_back
from separations.halftone.film_bands import film_bands
from separations.halftone.film_content import FilmContent

BOUNDS = (-805.0, -160.0, 805.0, 160.0)
LABEL = FilmLabel(job="Benchmark", board="Longest", ink="black", mesh="120-34",
                  ruling="45 lpi", film_number=1, film_count=1, date="2026-03-01")


def _content(dpi: float = 1440.0, bounds: Bounds = BOUNDS) -> FilmContent:
    """A made-up landscape of tones at 240 ppi: broad shapes, fine texture, some bare parts."""
    plane = grid_over(bounds, 25.4 / 240)
    rng = np.random.default_rng(6)
    tones = np.zeros((plane.rows, plane.columns), np.float32)
    for pixels, weight in ((900, 30000), (120, 16000), (12, 5000), (2, 1500)):
        coarse = rng.normal(0, weight, (plane.rows // pixels + 2, plane.columns // pixels + 2))
        tones += cv2.resize(coarse.astype(np.float32), (plane.columns, plane.rows),
                            interpolation=cv2.INTER_CUBIC)
    return FilmContent(
        tones=(tones + 26000).clip(0, 65535).astype(np.uint16), tone_grid=plane,
        film_grid=grid_over(bounds, 25.4 / dpi),
        spec=HalftoneSpec(ruling_lpcm=45 / 2.54, angle_deg=22.5, dot_shape="elliptical",
                          film_dpi=dpi, smallest_tone=0.03, largest_tone=0.97))


def _screen(content: FilmContent, workers: int) -> None:
    for _ in film_bands(content, workers=workers):
        pass


def _timed(work: Callable[[], object]) -> float:
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def _peak_mib() -> float:
    """Peak resident memory of this process; Linux only (a child's rusage keeps its parent's)."""
    told = Path("/proc/self/status").read_text(encoding="ascii")
    return int(told.split("VmHWM:")[1].split()[0]) / 1024


def _forget_peak_mib() -> float:
    """Let the peak count from now on; what is resident now. Linux only."""
    Path("/proc/self/clear_refs").write_text("5", encoding="ascii")
    return _peak_mib()


def _write(line: str) -> None:
    sys.stdout.write(line + "\n")


def _say(what: str, pixels: int, seconds: float, more: str = "") -> None:
    _write(f"{what:34s} {seconds:7.3f} s {pixels / seconds / 1e9:7.2f} Gpx/s  {more}")


@pytest.mark.benchmark
@pytest.mark.parametrize("dpi", [1440.0, 2880.0])
def test_stages_of_one_film(dpi: float, tmp_path: Path) -> None:
    content = _content(dpi)
    sheet = film_sheet(BOUNDS, (-797.0, -152.0, 797.0, 152.0), dpi)
    pixels = content.film_grid.rows * content.film_grid.columns
    _write(f"\n{dpi:g} dpi, {content.film_grid.rows} x {content.film_grid.columns} px")
    next(iter(film_bands(content)))
    for workers in (1, 2):
        seconds = _timed(partial(_screen, content, workers))
        _say(f"dots, {workers} thread(s)", pixels, seconds)
    codings: tuple[Coding, ...] = ("group4", "deflate")
    for coding in codings:
        path = tmp_path / f"{coding}.pdf"
        write_film(path, content, sheet, LABEL, coding=coding)
        begun = time.perf_counter()
        record = write_film(path, content, sheet, LABEL, coding=coding)
        seconds = time.perf_counter() - begun
        _say(f"film, {coding}", pixels, seconds,
             f"{record.file_bytes / 1e6:.1f} MB")
        _say(f"  read back, {coding}", pixels,
             _timed(partial(read_back, record, content, sheet)))
        _say("  rendered views only", pixels,
             _timed(partial(read_back, record, content, sheet, whole=False)))
        path.unlink()
    _say("page for further formats, marks rendered", pixels,
         _timed(partial(PageBits, sheet, content, LABEL)))
    page = PageBits(sheet, content, LABEL)
    for word, each in FILM_FORMATS.items():
        path = tmp_path / f"film{each.ending}"
        record = each.write(path, page)
        _say(f"film as {word}", pixels, _timed(partial(each.write, path, page)),
             f"{path.stat().st_size / 1e6:.1f} MB")
        _say(f"  read back, {word}", pixels, _timed(partial(each.read_back, record)))
        path.unlink()


@pytest.mark.benchmark
def test_cost_against_length_dpi_and_inks(tmp_path: Path) -> None:
    """Time grows with the pixels and with nothing else; memory does not grow with the films.

    Each row is a process of its own: seconds of the films alone, those of both cores for each
    gigapixel, and the peak memory with what of it the loaded tones and libraries take.
    """
    _write("\nlength    dpi  inks   Gpx    write  read back  core s/Gpx  peak (tones, libraries)")
    for length_mm, dpi, inks in ((400, 1440, 1), (800, 1440, 1), (1610, 1440, 1),
                                 (1610, 720, 1), (1610, 2880, 1), (1610, 1440, 2),
                                 (1610, 1440, 4), (1610, 1440, 8)):
        told = subprocess.run(
            [sys.executable, __file__, str(tmp_path), str(dpi), str(length_mm), str(inks)],
            check=True, capture_output=True, text=True)
        _write(told.stdout.strip())


@pytest.mark.benchmark
@pytest.mark.parametrize("dpi", [1440.0, 2880.0])
def test_peak_memory_in_a_process_of_its_own(dpi: float, tmp_path: Path) -> None:
    np.save(tmp_path / "tones.npy", _content().tones)
    told = subprocess.run([sys.executable, __file__, str(tmp_path), str(dpi)], check=True,
                          capture_output=True, text=True)
    _write("\n" + told.stdout.strip())


@pytest.mark.benchmark
def test_bounds_that_nothing_can_beat() -> None:
    """Copying the packed bits, and compressing them, on one core."""
    content = _content()
    bands = []
    for band in film_bands(content):
        bands.append(band)
        if len(bands) == 16:
            break
    bits = np.concatenate(bands)
    pixels = bits.size * 8
    _write("")
    _say("copy the packed bits", pixels, _timed(bits.copy))
    _say("Group 4, one strip", pixels, _timed(
        lambda: code_rows(bits, np.zeros(bits.shape[1], np.uint8), content.film_grid.columns)))
    _say("zlib level 1", pixels, _timed(lambda: zlib.compress(bits.data, 1)))


def _plain_dots(picture: Image.Image, spec: HalftoneSpec, size: tuple[int, int]) -> Image.Image:
    """A halftone as a few lines of general libraries make it: the whole plane, then the dots."""
    tones = np.asarray(picture.resize(size, Image.Resampling.BICUBIC))
    rows = np.arange(size[1], dtype=np.float32)[:, None]
    columns = np.arange(size[0], dtype=np.float32)
    angle, turn = np.deg2rad(spec.angle_deg), 2 * np.pi / spec.cell_pixels
    along, across = (turn * np.float32(np.cos(angle)), turn * np.float32(np.sin(angle)))
    spot = np.cos(along * rows + across * columns) + np.cos(across * rows - along * columns)
    limits = np.quantile(spot[:2048, :2048], np.linspace(0, 1, 256)).astype(np.float32)
    return Image.fromarray(spot > limits[tones])


@pytest.mark.benchmark
def test_the_plain_way(tmp_path: Path) -> None:
    """Resize a plane with Pillow, make it 1 bit, save: an eighth of a film.

    As a halftone by numpy, and as Pillow dithers, which is no halftone. Their memory grows with
    the film.
    """
    content = _content()
    rows = content.film_grid.rows // 8
    plane = (content.tones[:content.tones.shape[0] // 8] >> 8).astype(np.uint8)
    picture = Image.fromarray(255 - plane)
    size = (content.film_grid.columns, rows)
    pixels = size[0] * size[1]

    def dithered() -> None:
        dots = picture.resize(size, Image.Resampling.BICUBIC).convert("1")
        dots.save(tmp_path / "dithered.tiff", compression="group4")

    def halftone() -> None:
        _plain_dots(picture, content.spec, size).save(tmp_path / "dots.tiff",
                                                      compression="group4")

    plain, dither = _timed(halftone), _timed(dithered)
    first = next(iter(film_bands(content, workers=1)))  # compiled code is loaded once
    code_rows(first, np.zeros(first.shape[1], np.uint8), size[0])
    begun = time.perf_counter()
    done = 0
    for band in film_bands(content, workers=1):
        code_rows(band, np.zeros(band.shape[1], np.uint8), size[0])
        done += len(band)
        if done >= rows:
            break
    ours = (time.perf_counter() - begun) / (done * size[0])
    sheet = film_sheet(BOUNDS, BOUNDS, 1440.0)
    whole = replace(content, film_grid=sheet.art_grid)
    write_film(tmp_path / "film.pdf", whole, sheet, LABEL)
    written = sheet.art_grid.rows * sheet.art_grid.columns
    film = _timed(partial(write_film, tmp_path / "film.pdf", whole, sheet, LABEL)) / written
    _write("")
    _say("plain halftone, saved", pixels, plain)
    _say("plain dither, saved", pixels, dither)
    for what, each in (("dots and Group 4, one thread", ours), ("film written, two threads", film)):
        _say(what, pixels, each * pixels, f"{plain / pixels / each:.1f} times as fast as the "
             f"halftone, {dither / pixels / each:.1f} as the dither")


def _tell_peak(folder: Path, dpi: float) -> None:
    plane = grid_over(BOUNDS, 25.4 / 240)
    tones = np.load(folder / "tones.npy")
    sheet = film_sheet(BOUNDS, (-797.0, -152.0, 797.0, 152.0), dpi)
    content = FilmContent(
        tones=tones, tone_grid=plane, film_grid=sheet.art_grid,
        spec=HalftoneSpec(ruling_lpcm=45 / 2.54, angle_deg=22.5, dot_shape="elliptical",
                          film_dpi=dpi))
    peaks = [_peak_mib()]
    record = write_film(folder / "film.pdf", content, sheet, LABEL)
    peaks.append(_peak_mib())
    read_back(record, content, sheet)
    peaks.append(_peak_mib())
    _write(f"{dpi:g} dpi: peak {peaks[0]:.0f} MiB with the tones ({tones.nbytes / 2**20:.0f} MiB) "
           f"loaded, {peaks[1]:.0f} after writing, {peaks[2]:.0f} after reading back")


def _tell_cost(folder: Path, dpi: float, length_mm: float, inks: int) -> None:
    bounds = (-length_mm / 2, BOUNDS[1], length_mm / 2, BOUNDS[3])
    content = _content(dpi, bounds)
    sheet = film_sheet(bounds, bounds, dpi)
    path = folder / "film.pdf"
    first = film_sheet((0.0, 0.0, 30.0, 30.0), (0.0, 0.0, 30.0, 30.0), dpi)
    small = replace(content, film_grid=first.art_grid)
    read_back(write_film(path, small, first, LABEL), small, first)
    loaded = _forget_peak_mib()
    written = read = 0.0
    cores = time.process_time()
    for _ in range(inks):
        begun = time.perf_counter()
        record = write_film(path, content, sheet, LABEL)
        written += time.perf_counter() - begun
        read += _timed(partial(read_back, record, content, sheet))
    gigapixels = inks * record.rows * record.columns / 1e9
    cores = (time.process_time() - cores) / gigapixels
    _write(f"{length_mm:4.0f} mm {dpi:6.0f} {inks:5d} {gigapixels:5.2f} {written:6.2f} s "
           f"{read:8.2f} s {cores:10.2f} {_peak_mib():8.0f} MiB ({loaded:.0f})")


if __name__ == "__main__":
    if len(sys.argv) == 3:
        _tell_peak(Path(sys.argv[1]), float(sys.argv[2]))
    else:
        _tell_cost(Path(sys.argv[1]), float(sys.argv[2]), float(sys.argv[3]), int(sys.argv[4]))
