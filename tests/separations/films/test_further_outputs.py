"""Unscreened separations, the composite and TIFF films of a small job, read by other software."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import cv2
import numpy as np
import pikepdf
import pypdfium2
import pytest
from PIL import Image, ImageCms

from preflight.board.area_mask import coverage_mask
from preflight.frames.raster_grid import grid_over
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import lab_to_srgb
from separations.colour.job_inks import whole_model
from separations.films.film_set import FilmSet, write_films
from separations.films.film_sheet import FilmSheet
from separations.films.output_intent import output_intent
from separations.films.tone_pages import ToneSet, eight_bit
from separations.films.unscreened_outputs import (
    UNSCREENED_OUTPUTS,
    UnscreenedOutput,
    write_unscreened_pages,
)
from separations.pipeline.prepared_job import ready_films
from separations.pipeline.session import Session
from separations.planes.art_separation import ArtSeparation
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.overlays import Overlay
from tests.prepared_jobs import all_tones
from tests.small_art import write_small_job

INKS = ["Yellow", "Magenta", "Cyan", "Black"]
SHOWN_DPI = 72


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Made:
    """A job and all that it asked for."""

    laid: LaidOutJob
    separation: ArtSeparation
    overlays: tuple[Overlay, ...]
    sheet: FilmSheet
    folder: Path
    films: FilmSet


def _make(folder: Path, out: Path) -> Made:
    job = write_small_job(
        folder, ("600 dpi", '400 dpi"\nalso = ["tiff", "png", "grey", "composite"] #'))
    ready = ready_films(Session(job))
    out.mkdir()
    films = write_films(ready, out, lambda _: None)
    return Made(laid=ready.laid, separation=ready.separation, overlays=ready.overlays,
                sheet=ready.sheet, folder=out, films=films)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    folder = tmp_path_factory.mktemp("further")
    return _make(folder / "job", folder / "out")


def _plane(made: Made, number: int) -> np.ndarray:
    """One ink's tones where the board is printed."""
    inside = coverage_mask(made.laid.area.printed, made.separation.grid) > 0
    return np.asarray(made.separation.planes[number] * inside)


def _samples(image: pikepdf.Object, components: int) -> np.ndarray:
    shape = int(image.Height), int(image.Width), components
    kind = np.dtype({8: "u1", 16: ">u2"}[int(image.BitsPerComponent)])
    return np.frombuffer(image.read_bytes(), kind).reshape(shape)


def _shown(path: Path) -> np.ndarray:
    with pypdfium2.PdfDocument(path) as document:
        picture = document[0].render(scale=SHOWN_DPI / 72).to_pil()
    return np.asarray(picture.convert("RGB"))


def test_what_was_asked_for_is_there_and_told(made: Made) -> None:
    files = sorted(p.relative_to(made.folder).as_posix() for p in made.folder.rglob("*.*"))
    names = [f"{number:02d}-{ink}" for number, ink in enumerate(INKS, 1)]
    assert files == sorted([
        "composite.pdf", *(f"films/{name}.png" for name in names),
        *(f"{kind}/{name}.{ending}" for kind in ("films", "grey")
          for name in names for ending in ("pdf", "tif"))])
    assert sorted([*made.films.further, *(film.file for film in made.films.films)]) == files


@pytest.mark.long
def test_the_same_job_gives_the_same_bytes(made: Made, tmp_path: Path) -> None:
    again = _make(tmp_path / "job", tmp_path / "out")
    for name in made.films.further:
        digests = {hashlib.sha256((m.folder / name).read_bytes()).digest() for m in (made, again)}
        assert len(digests) == 1, name


@pytest.mark.parametrize("number", range(4))
def test_a_separation_holds_its_plane_on_a_plate_of_its_name(made: Made, number: int) -> None:
    """In all 16 bits of it."""
    with pikepdf.open(made.folder / f"grey/{number + 1:02d}-{INKS[number]}.pdf") as pdf:
        image = pdf.pages[0].resources.XObject.Tones
        assert [str(part) for part in list(image.ColorSpace)[:3]] == [
            "/Separation", f"/{INKS[number]}", "/DeviceGray"]
        assert (pdf.pdf_version, int(image.BitsPerComponent)) == ("1.5", 16)
        assert len(np.unique(_samples(image, 1))) > 256
        assert np.array_equal(_samples(image, 1)[:, :, 0], _plane(made, number))


def test_a_separation_shows_as_a_grey_positive_with_its_line_work(made: Made) -> None:
    art, scale = made.sheet.art_box, SHOWN_DPI / made.sheet.dpi
    grid = grid_over(made.laid.area.printed.bounds, 25.4 / SHOWN_DPI)
    tones = all_tones(made.laid, made.separation, made.overlays, grid)
    inside = coverage_mask(made.laid.area.printed, grid)
    inner = cv2.erode((inside == 65535).astype(np.uint8), np.ones((5, 5))) > 0
    for number in (2, 3):
        grey = _shown(made.folder / f"grey/{number + 1:02d}-{INKS[number]}.pdf")[:, :, 0]
        top, left = round(art.top * scale), round(art.left * scale)
        shown = grey[top:top + grid.rows, left:left + grid.columns]
        off = np.abs((255 - shown.astype(int)) - tones[number] / 257)
        assert np.median(off[inner]) < 2
        assert off[inner].mean() < 5
        assert shown[:8, :8].min() == 255


def test_a_grey_tiff_holds_tones_and_line_work(made: Made) -> None:
    flat = all_tones(made.laid, made.separation, made.overlays, made.separation.grid)
    for number, ink in enumerate(INKS):
        with Image.open(made.folder / f"grey/{number + 1:02d}-{ink}.tif") as picture:
            ppi = 25.4 / made.separation.grid.pixel_mm
            assert picture.info["dpi"] == pytest.approx((ppi, ppi), rel=1e-6)
            assert picture.mode == "I;16"
            found = 65_535 - np.asarray(picture).astype(int)
        assert len(np.unique(found)) > 256
        assert np.abs(found - flat[number]).max() <= 1


def test_the_composite_tells_its_printing_condition_by_a_profile_that_others_read(
        made: Made) -> None:
    job = made.laid.job
    with pikepdf.open(made.folder / "composite.pdf") as pdf:
        intent, = pdf.Root.OutputIntents
        assert (str(intent.S), str(intent.OutputConditionIdentifier)) == ("/GTS_PDFX", "Custom")
        assert job.title in str(intent.OutputCondition)
        assert "nothing measured" in str(intent.Info)
        assert int(intent.DestOutputProfile.N) == 4
        content = intent.DestOutputProfile.read_bytes()
    for number, ink in enumerate(INKS, 1):
        with pikepdf.open(made.folder / f"films/{number:02d}-{ink}.pdf") as pdf:
            assert "/OutputIntents" not in pdf.Root
    # LittleCMS, by Pillow: the job's solids come out as the model has them.
    profile = ImageCms.ImageCmsProfile(BytesIO(content))
    to_lab = ImageCms.buildTransform(profile, ImageCms.createProfile("LAB"), "CMYK", "LAB",
                                     renderingIntent=ImageCms.Intent.ABSOLUTE_COLORIMETRIC)
    order = ["Cyan", "Magenta", "Yellow", "Black"]
    solids = Image.fromarray(np.array([255 * np.eye(4, dtype=np.uint8)]), "CMYK")
    coded = ImageCms.applyTransform(solids, to_lab)
    assert coded is not None
    seen = np.asarray(coded).astype(float)[0]
    lab = np.stack([seen[:, 0] / 2.55, *(seen[:, 1:].astype(np.uint8).astype(np.int8).T)], -1)
    model = whole_model(job).predict_lab(np.eye(4)[[INKS.index(ink) for ink in order]])
    assert np.abs(lab - model).max() < 1.5


@pytest.mark.parametrize("change", [
    ('colour = "process yellow"', 'colour = "sun orange"'),
    ("angle = 52.5", 'angle = 52.5\n[[ink]]\nname = "White"\ncolour = "opaque white"\n'
     'prints = "highlight white"\nangle = 37.5')])
def test_other_inks_have_no_printing_condition_in_four_channels(
        tmp_path: Path, change: tuple[str, str]) -> None:
    assert output_intent(read_job(write_small_job(tmp_path, change))) is None


def test_pages_made_despite_stops_say_so_on_their_labels(
        made: Made, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    words: list[str] = []

    def note(_laid: LaidOutJob, tones: ToneSet, _sheet: FilmSheet, _folder: Path) -> Iterator[str]:
        words.append(tones.words)
        yield "composite.pdf"

    monkeypatch.setitem(UNSCREENED_OUTPUTS, "composite", UnscreenedOutput("Composite", note))
    monkeypatch.delitem(UNSCREENED_OUTPUTS, "grey")
    for stops in (0, 2):
        write_unscreened_pages(made.laid, made.separation, made.overlays, made.sheet, tmp_path,
                               lambda _: None, despite_stops=stops)
    assert words == [plain := f"{made.laid.job.title} · {made.laid.job.board.name}",
                     f"{plain} · MADE DESPITE 2 STOPS"]


def test_the_composite_separates_into_the_inks(made: Made) -> None:
    with pikepdf.open(made.folder / "composite.pdf") as pdf:
        resources = pdf.pages[0].resources
        image = resources.XObject.Tones
        space = image.ColorSpace
        assert str(space[0]) == "/DeviceN"
        assert [str(name) for name in space[1]] == [f"/{ink}" for ink in INKS]
        assert set(space[4].Colorants.keys()) == {f"/{ink}" for ink in INKS}
        samples = _samples(image, 4)
        state = resources.ExtGState.Overprint
        assert bool(state.OP)
        assert bool(state.op)
        assert int(state.OPM) == 1
        drawn = [part for part in pikepdf.parse_content_stream(pdf.pages[0])
                 if isinstance(part, pikepdf.ContentStreamInstruction)]
    for number in range(4):
        assert np.array_equal(samples[:, :, number], eight_bit(_plane(made, number)))
    states = [str(part.operands[0]) for part in drawn if str(part.operator) == "gs"]
    spaces = [str(part.operands[0]) for part in drawn if str(part.operator) == "cs"]
    tints = [float(part.operands[0]) for part in drawn if str(part.operator) == "scn"]
    assert states == ["/Overprint"] * 4
    assert spaces[:4] == ["/Ink1", "/Ink2", "/Ink3", "/Ink4"]
    assert tints[:4] == [0, 0, 0, 1]


def test_the_composite_shows_the_print_on_the_wood(made: Made) -> None:
    shown = _shown(made.folder / "composite.pdf")
    art, scale = made.sheet.art_box, SHOWN_DPI / made.sheet.dpi
    grid = grid_over(made.laid.area.printed.bounds, 25.4 / SHOWN_DPI)
    tones = all_tones(made.laid, made.separation, made.overlays, grid)
    labs = whole_model(made.laid.job).predict_lab(np.moveaxis(tones, 0, -1) / 65535)
    inside = coverage_mask(made.laid.area.printed, grid) == 65535
    inner = cv2.erode(inside.astype(np.uint8), np.ones((5, 5))) > 0
    top, left = round(art.top * scale), round(art.left * scale)
    crop = shown[top:top + grid.rows, left:left + grid.columns].astype(float)
    off = np.abs(crop - 255 * lab_to_srgb(labs)).max(axis=2)
    # Readers differ in how they show CIELAB: PDFium takes its white as the display's.
    assert np.median(off[inner]) < 16


def test_marks_go_on_every_plate(made: Made) -> None:
    with pikepdf.open(made.folder / "composite.pdf") as pdf:
        spaces = [space for space in pdf.pages[0].resources.ColorSpace.values()
                  if str(space[0]) == "/Separation"]
        assert "/All" in {str(space[1]) for space in spaces}


@pytest.mark.parametrize("asked", ['["jpeg"]', '"tiff"', '["tiff", "tiff"]', "[1]", "[[1]]"])
def test_anything_else_asked_for_is_a_problem(small_job: Callable[..., Path], asked: str) -> None:
    job = small_job(("600 dpi", f'600 dpi"\nalso = {asked} #'))
    with pytest.raises(InputProblem) as caught:
        read_job(job)
    assert "film.also: found" in caught.value.sentence
    assert caught.value.sentence.endswith(
        'a list of some of "tiff", "png", "grey", "composite", each once, would do.')
