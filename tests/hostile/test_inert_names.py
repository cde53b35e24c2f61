"""Names in a job file are words wherever they come to stand, and nothing more."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable
from html.parser import HTMLParser
from importlib.resources import files
from pathlib import Path

import ezdxf
import pikepdf
import pypdfium2
import pytest
from defusedxml.ElementTree import fromstring

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.commands.terminal import inert
from separations.ink_need.ink_table import inert as inert_cell
from separations.pipeline.calls import run_job
from separations.uses.board_drawings.drawing_set import draw_board
from separations.uses.calibration.calibration_run import make_wedge
from separations.uses.calibration.patches import patches_csv, sheet_patches
from separations.uses.calibration.sheet_by_tones import read_sheet
from separations.uses.ink_choice.ink_choice_run import choose_inks
from tests.small_art import write_small_job

TITLE = "</title><script>alert(1)</script>"
BOARD = "<img src=x onerror=alert(1)> %%EOF ) Tj /JS (x)"
WOOD = "\\\\\\\"'><svg onload=alert(1)>&amp;&#60;"
INK = "=HYPERLINK(\\\"//x\\\";1)</text><b onmouseover=x>"
ART = "\\\"><iframe src=x> & ' %41.png"
FURTHER = "@SUM(1)|cmd' /C ../../etc"


@pytest.fixture(scope="module")
def outputs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All that a job with such names writes."""
    place = tmp_path_factory.mktemp("inert")
    job = write_small_job(
        place / "job", ('"Marsh light"', f'"{TITLE}"'), ('"Small plank"', f'"{BOARD}"'),
        ('name = "Yellow"', f'name = "{INK}"'), ('name = "Cyan"', f'name = "{FURTHER}"'),
        ('"photo.png"', f'"{ART}"'), ("boards = 3", f'boards = 3\n[wood]\nname = "{WOOD}"'),
        ('"600 dpi"', '"200 dpi"'), ('"45 lpi"', '"14 lpi"'))
    text = job.read_text(encoding="utf-8")
    assert ART in text
    (job.parent / "photo.png").rename(job.parent / ART.replace('\\"', '"'))
    run_job(job, place / "out", despite_stops=True)
    draw_board(job, place / "outline")
    make_wedge(job, place / "wedge")
    stock = place / "stock.toml"
    stock.write_text(f'name = "{TITLE}"\n' + "".join(
        f'[[ink]]\nname = "{name}"\ncolour = "process {colour}"\n' for name, colour in
        ((INK, "yellow"), (FURTHER, "cyan"))), encoding="utf-8")
    choose_inks(job, stock, place / "inks", most=1)
    return place


class Elements(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, list[tuple[str, str | None]]]] = []
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, attrs))

    def handle_data(self, data: str) -> None:
        self.words += data


@pytest.mark.parametrize("page", ["out/report.html", "inks/inks.html"])
def test_pages_hold_no_script_of_others_and_fetch_nothing(outputs: Path, page: str) -> None:
    read = Elements()
    own = files("separations.report").joinpath("light_table.js").read_text(encoding="utf-8")
    text = (outputs / page).read_text(encoding="utf-8")
    read.feed(text.replace(f"<script>{own}</script>", ""))
    assert "alert(1)" in read.words
    for tag, attributes in read.tags:
        assert tag not in {"script", "iframe", "object", "embed", "base", "form", "link"}
        for name, value in attributes:
            assert not name.startswith("on"), (tag, name)
            if name in {"src", "href", "xlink:href", "action"}:
                assert (value or "").startswith(("data:image/", "#")), (tag, value)


@pytest.mark.parametrize("table", ["out/ink.csv", "wedge/patches.csv", "inks/inks.csv"])
def test_no_cell_is_a_formula(outputs: Path, table: str) -> None:
    text = (outputs / table).read_text(encoding="utf-8-sig")
    cells = [cell for row in csv.reader(io.StringIO(text)) for cell in row]
    assert any(cell.startswith(("'=HYPERLINK", "'@SUM")) for cell in cells)
    for cell in cells:
        assert not re.match(r"[=+@\t\r\n＝＋－＠]|-(?![\d.])", cell), cell


def test_a_list_of_patches_with_such_names_reads_back(outputs: Path) -> None:
    job = read_job(outputs / "job" / "marsh.toml")
    patches = sheet_patches(job)
    filled = outputs / "filled.csv"
    lines = patches_csv(job, patches).splitlines()
    head = next(csv.reader([lines[0]]))
    place = head.index("D")
    rows = [",".join([*row[:place], "0.5", *row[place + 1:]])
            for row in csv.reader(lines[1:])]
    filled.write_text("\n".join([lines[0], *rows]), encoding="utf-8")
    assert (read_sheet(filled, job)[1].density == 0.5).all()


def test_pdfs_hold_no_action_and_show_the_words(outputs: Path) -> None:
    paths = sorted(outputs.rglob("*.pdf"))
    assert len(paths) >= 10
    for path in paths:
        with pikepdf.open(path) as pdf:
            for thing in pdf.objects:
                if isinstance(thing, pikepdf.Dictionary | pikepdf.Stream):
                    assert not {"/JS", "/JavaScript", "/OpenAction", "/AA", "/Launch", "/URI",
                                "/EmbeddedFiles", "/RichMedia"} & set(thing.keys()), path
    sheet = pypdfium2.PdfDocument(outputs / "out" / "operator.pdf")
    words = "".join(page.get_textpage().get_text_range() for page in sheet)
    assert "<script>" in words


def test_drawings_hold_words_alone(outputs: Path) -> None:
    root = fromstring((outputs / "outline" / "outline.svg").read_bytes())
    tags = {element.tag.rsplit("}", 1)[-1] for element in root.iter()}
    assert tags <= {"svg", "title", "g", "path", "circle", "text", "tspan", "desc", "style"}
    assert not [name for e in root.iter() for name in e.attrib if name.startswith("on")]
    assert "<script>" in "".join(root.itertext())
    document = ezdxf.readfile(outputs / "outline" / "outline.dxf")
    assert not document.audit().errors
    assert {e.dxftype() for e in document.modelspace()} <= {
        "LWPOLYLINE", "POLYLINE", "LINE", "CIRCLE", "TEXT", "MTEXT"}


def test_the_report_is_data(outputs: Path) -> None:
    report = json.loads((outputs / "out" / "report.json").read_text(encoding="utf-8"))
    assert TITLE in json.dumps(report)


def test_film_names_stay_in_their_folder(outputs: Path) -> None:
    names = [p.name for p in (outputs / "out" / "films").iterdir()]
    assert all(re.fullmatch(r"[A-Za-z0-9.-]+", name) for name in names), names


@pytest.mark.parametrize("letter", [
    "\\u0000", "\\u0007", "\\u001b", "\\u009b", "\\n", "\\r", "\\t", "\\u202e", "\\u2066",
    "\\u200f", "\\u2028", "\\u2029", "\\ufeff", "\\u200b", "\\u007f", "\\U000E0041"])
@pytest.mark.parametrize("place", ['name = "Cyan"', '"Marsh light"', '"Small plank"',
                                   '"photo.png"'])
def test_letters_that_command_are_refused(
    small_job: Callable[..., Path], letter: str, place: str
) -> None:
    job = small_job((place, place[:-3] + letter + place[-3:]))
    with pytest.raises(InputProblem) as caught:
        read_job(job)
    assert caught.value.sentence.isprintable()


def test_whatever_is_said_is_one_printable_line() -> None:
    for letter in "\x00\x07\x1b\x9b\n\r\t‮⁦‏  ﻿\x7f\ud800":
        said = inert(f"a{letter}b")
        assert said.isprintable()
        assert InputProblem(where=letter, found=letter, would_do=letter).sentence.isprintable()
    for sign in "=+-@\t\r\n＝＋－＠":
        assert inert_cell(f"{sign}1") == f"'{sign}1"
    assert inert_cell("Cyan = 3") == "Cyan = 3"
