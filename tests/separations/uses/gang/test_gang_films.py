"""Gangs read back by another library: each piece's very dots, where the sheet says."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.command_line import topsheet
from separations.pipeline.calls import make_films
from separations.uses.gang.gang_films import gang_on_film
from separations.uses.gang.gang_run import make_gang
from separations.uses.gang.gang_sheet import read_gang_sheet
from separations.uses.gang.piece_marks import marks_between
from separations.uses.gang.placed_pieces import PlacedPiece
from tests.coarse_job import write_coarse_job
from tests.separations.films.decoded_images import decoded_dots

HEAD = 'title = "Marsh, both sides"\ndate = 2026-11-25\n'
BASE = ('stage = "sheet"', 'stage = "sheet"\nside = "base"')
PART = ('length = "30 cm"', 'length = "24 cm"')


@pytest.fixture
def jobs(tmp_path: Path) -> Path:
    """The folder of marsh.toml, its base side, and a shorter part."""
    folder = tmp_path / "job"
    write_coarse_job(folder, BASE, name="base")
    write_coarse_job(folder, PART, name="part")
    return write_coarse_job(folder).parent


def _gang(folder: Path, *pieces: str, head: str = HEAD) -> Path:
    path = folder / "gang.toml"
    path.write_text(head + "".join(f'[[piece]]\njob = "{piece}\n' for piece in pieces),
                    encoding="utf-8")
    return path


def _alone(piece: PlacedPiece, out: Path, ink: int) -> np.ndarray:
    """The piece's dots as on a film of its own, turned as it lies."""
    folder = out / piece.table.job
    if not folder.exists():
        make_films(piece.prepared.laid.job.path, folder)
    dots = decoded_dots(sorted((folder / "films").glob("*.pdf"))[ink])
    return dots[::-1, ::-1] if piece.table.is_turned else dots


def test_a_gang_holds_each_pieces_own_dots_and_nothing_else(jobs: Path, tmp_path: Path) -> None:
    sheet = _gang(jobs, 'marsh.toml"', 'base.toml"\nturn = 180', 'part.toml"')
    made = make_gang(sheet, tmp_path / "gang")
    assert not made.withheld
    inked = [0.0] * 2
    for number, film in enumerate(made.films):
        dots = decoded_dots(tmp_path / "gang" / film.file)
        for piece in made.pieces:
            row, column = piece.place
            own = _alone(piece, tmp_path, number)
            box = (slice(row, row + own.shape[0]), slice(column, column + own.shape[1]))
            np.testing.assert_array_equal(dots[box], own)
            inked[number] += own.sum() * (25.4 / 300) ** 2
            dots[box] = False
        laid = gang_on_film(read_gang_sheet(sheet), made.pieces)
        between = np.zeros_like(dots)
        for bar in marks_between(laid.sheet, made.pieces):
            between[bar.top:bar.bottom, bar.left:bar.right] = True
        assert between.any()
        np.testing.assert_array_equal(dots, between)
        assert film.inked_mm2 == pytest.approx(inked[number], rel=1e-9)
    told = json.loads((tmp_path / "gang" / "gang.json").read_text(encoding="utf-8"))
    assert [(p["job"], p["side"], p["turn_deg"]) for p in told["pieces"]] == [
        ("marsh.toml", "top", 0), ("base.toml", "base", 180), ("part.toml", "top", 0)]
    assert told["pieces"][0]["screened_from_film_mm"] == pytest.approx([155.0, 45.0], abs=0.1)
    with pypdfium2.PdfDocument(tmp_path / "gang" / made.films[0].file) as document:
        text = " ".join(document[0].get_textpage().get_text_bounded().split())
    for part in ("Film 1 of 2", "3 pieces", "Small plank, base side, turned 180°",
                 "0.0 mm from the nose edge, 0.0 mm from the left", "1 nose", "2 tail", "3 nose",
                 "1 tail", "2 nose", "3 tail"):
        assert part in text
    assert "NOSE" not in text
    assert "TAIL" not in text
    assert {finding.check.split(": ")[0] for finding in made.findings} == {
        "marsh.toml", "base.toml", "part.toml"}
    alike = [(f.check, f.subject, f.says, f.mend) for f in made.findings]
    assert len(set(alike)) == len(alike)


def test_dots_of_a_gang_print_the_tones_of_its_pieces(jobs: Path, tmp_path: Path) -> None:
    """Ink counted on a rendered gang against the tones that each piece was separated to."""
    made = make_gang(_gang(jobs, 'marsh.toml"', 'part.toml"'), tmp_path / "gang")
    film = made.films[0]  # cyan: a photograph's ink with the lines knocked out
    for piece in made.pieces:
        separation, laid = piece.prepared.separation, piece.prepared.laid
        asked = separation.planes[0][separation.inside].mean() / 65535
        row, column = piece.place
        grid = piece.sheet.art_grid
        dots = decoded_dots(tmp_path / "gang" / film.file)[row:row + grid.rows,
                                                            column:column + grid.columns]
        printed = dots.sum() * grid.pixel_mm**2 / laid.area.printed.area
        assert printed == pytest.approx(asked, abs=0.03)


@pytest.mark.long
def test_places_and_factors_are_kept(jobs: Path, tmp_path: Path) -> None:
    for name in ("marsh.toml", "part.toml"):
        text = (jobs / name).read_text(encoding="utf-8")
        (jobs / name).write_text(text.replace(
            '"300 dpi"', '"300 dpi"\nscale_along = 1.01\nalso = ["tiff", "png"]'), encoding="utf-8")
    sheet = _gang(jobs, 'marsh.toml"\nfrom_nose = "0 mm"\nfrom_left = "140 mm"',
                  'part.toml"\nfrom_nose = "25 mm"\nfrom_left = "0 mm"')
    made = make_gang(sheet, tmp_path / "gang")
    part = made.pieces[1]
    assert part.place.row == round(25 * 1.01 * 300 / 25.4)
    assert part.from_nose_mm == pytest.approx(25, abs=0.05)
    dots = decoded_dots(tmp_path / "gang" / made.films[1].file)
    row, column = made.pieces[0].place
    own = _alone(made.pieces[0], tmp_path, 1)
    np.testing.assert_array_equal(
        dots[row:row + own.shape[0], column:column + own.shape[1]], own)
    told = json.loads((tmp_path / "gang" / "gang.json").read_text(encoding="utf-8"))
    assert told["films"][1]["further"] == ["films/02-Black.tif", "films/02-Black.png"]
    for name in told["films"][1]["further"]:
        with Image.open(tmp_path / "gang" / name) as page:
            assert page.size[0] * 25.4 / 300 == pytest.approx(made.films[1].page_width_mm)


@pytest.mark.long
def test_composite_and_grey_separations_are_made_of_each_job_once(
        jobs: Path, tmp_path: Path) -> None:
    for name in ("marsh.toml", "part.toml"):
        text = (jobs / name).read_text(encoding="utf-8")
        (jobs / name).write_text(text.replace(
            '"300 dpi"', '"300 dpi"\nalso = ["png", "grey", "composite"]'), encoding="utf-8")
    made = make_gang(_gang(jobs, 'marsh.toml"', 'part.toml"', 'part.toml"'), tmp_path / "gang")
    told = json.loads((tmp_path / "gang" / "gang.json").read_text(encoding="utf-8"))
    files = [f"grey/{n}.{kind}" for n in ("01-Cyan", "02-Black") for kind in ("pdf", "tif")]
    assert told["further"] == [f"pieces/{piece}/{file}" for piece in ("01-marsh", "02-part")
                               for file in (*files, "composite.pdf")]
    assert all((tmp_path / "gang" / name).is_file() for name in told["further"])
    alone = tmp_path / "alone"
    make_films(made.pieces[1].prepared.laid.job.path, alone)
    for name in ("composite.pdf", "grey/01-Cyan.tif"):
        assert (tmp_path / "gang" / "pieces" / "02-part" / name).read_bytes() == (
            alone / name).read_bytes()


@pytest.mark.long
def test_the_same_gang_gives_the_same_bytes(jobs: Path, tmp_path: Path) -> None:
    sheet = _gang(jobs, 'part.toml"', 'part.toml"')
    first, again = (make_gang(sheet, tmp_path / name) for name in ("first", "again"))
    assert [f.sha256 for f in first.films] == [f.sha256 for f in again.films]


@pytest.mark.parametrize(("pieces", "head", "sentence"), [
    (('marsh.toml"\nturn = 90',), HEAD, "piece[1].turn: found '90°'; 0 or 180 would do."),
    (('marsh.toml"\nfrom_nose = "1 mm"',), HEAD, "piece[1].from_left: found nothing; both of "
     "'from_nose' and 'from_left', or neither, would do."),
    (('marsh.toml"', 'part.toml"\nfrom_nose = "1 mm"\nfrom_left = "1 mm"'), HEAD,
     "piece[2]: found a place on some pieces and none on others; 'from_nose' and 'from_left' on "
     "all pieces, or on none, would do."),
    (('marsh.toml"\nfrom_nose = "0 mm"\nfrom_left = "0 mm"',
      'part.toml"\nfrom_nose = "9 mm"\nfrom_left = "9 mm"'), HEAD,
     "piece[2]: found 'part.toml' lying over piece[1], 'marsh.toml'; places whose boxes are apart, "
     "or no places for automatic ones, would do."),
    (('marsh.toml"',) * 4, HEAD + 'lay = "along"\n',
     "piece[4]: found no room for 'marsh.toml' of 90 by 310 mm: all pieces as they are laid need "
     "391 by 311 mm; a film printer of 61 cm by 30 m and the frame "
     "with its free mesh leave 349 by 599 mm; fewer or smaller pieces, other places "
     "or another 'lay', or a greater frame, would do."),
    (('marsh.toml"\nfrom_nose = "400 mm"\nfrom_left = "0 mm"',), HEAD,
     "piece[1]: found no room for 'marsh.toml' of 90 by 310 mm: all pieces as they are laid need "
     "91 by 711 mm; a film printer of 61 cm by 30 m and the frame "
     "with its free mesh leave 349 by 599 mm; fewer or smaller pieces, other places "
     "or another 'lay', or a greater frame, would do."),
])
def test_a_gang_that_cannot_be_is_one_sentence(
        jobs: Path, tmp_path: Path, pieces: tuple[str, ...], head: str, sentence: str) -> None:
    sheet = _gang(jobs, *pieces, head=head)
    said: list[str] = []
    with pytest.raises(InputProblem) as caught:
        make_gang(sheet, tmp_path / "gang", say=said.append)
    assert not said, "told before any separation"
    assert caught.value.sentence == f"{sheet}: {sentence}"
    assert not (tmp_path / "gang").exists()


@pytest.mark.parametrize(("old", "new", "key", "found", "asked"), [
    ("angle = 22.5", "angle = 15", "ink[1].angle", "'15°'", "'22.5°'"),
    ('"24 lpi"', '"50 lpi"', "halftone.ruling", "'50 lpi'", "'24 lpi'"),
    ('"120/cm"', '"100/cm"', "mesh", "'100/cm, thread 34 µm, angle 0°'",
     "'120/cm, thread 34 µm, angle 0°'"),
    ('"300 dpi"', '"360 dpi"', "film.resolution", "'360 dpi'", "'300 dpi'"),
    ('"300 dpi"', '"300 dpi"\nscale_along = 1.001', "film.scale_along", "'1.001'", "'1.0'"),
    ('"300 dpi"', '"300 dpi"\nalso = ["png"]', "film.also", "'png'", "nothing"),
    ('name = "Cyan"', 'name = "Teal"', "ink[1].name", "'Teal'", "'Cyan'"),
    ("process cyan", "lake blue", "ink[1].colour", "'lake blue'", "'process cyan'"),
])
def test_jobs_that_cannot_share_films_name_the_key(
        jobs: Path, tmp_path: Path, old: str, new: str, key: str, found: str, asked: str) -> None:
    part = jobs / "part.toml"
    text = part.read_text(encoding="utf-8")
    assert old in text
    part.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(InputProblem) as caught:
        make_gang(_gang(jobs, 'marsh.toml"', 'part.toml"'), tmp_path / "gang")
    assert caught.value.sentence == (f"{part}: {key}: found {found}; {asked} as in marsh.toml, "
                                     "since they share films, would do.")


def test_other_numbers_of_inks_and_missing_jobs_are_refused(jobs: Path, tmp_path: Path) -> None:
    part = jobs / "part.toml"
    text = part.read_text(encoding="utf-8")
    cyan, black = (text.index(f'[[ink]]\nname = "{name}"') for name in ("Cyan", "Black"))
    part.write_text(text[:cyan] + text[black:], encoding="utf-8")
    with pytest.raises(InputProblem, match=r"ink: found 1 ink; the 2 inks of marsh.toml would"):
        make_gang(_gang(jobs, 'marsh.toml"', 'part.toml"'), tmp_path / "gang")
    with pytest.raises(InputProblem, match=r"none.toml: found no such file"):
        make_gang(_gang(jobs, 'none.toml"'), tmp_path / "gang")
    with pytest.raises(InputProblem, match="a gang sheet in TOML"):
        make_gang(jobs / "nothing.toml", tmp_path / "gang")


@pytest.mark.long
def test_a_stop_of_one_piece_withholds_the_gang(jobs: Path, tmp_path: Path) -> None:
    part = jobs / "part.toml"
    text = part.read_text(encoding="utf-8")
    part.write_text(text.replace("140 °C", "30 °C"), encoding="utf-8")
    sheet = _gang(jobs, 'marsh.toml"', 'part.toml"')
    made = make_gang(sheet, tmp_path / "gang")
    assert made.withheld
    assert not made.films
    assert sorted(path.name for path in (tmp_path / "gang").iterdir()
                  if not path.name.startswith(".")) == [
        "gang.json", "ink.csv", "operator.pdf", "proof.png", "report.html", "report.json"]
    forced = make_gang(sheet, tmp_path / "forced", despite_stops=True)
    assert [e.inked_cm2 for e in forced.estimates] == [e.inked_cm2 for e in made.estimates]
    assert read_job(part).side == "top"


def test_the_command_is_there() -> None:
    assert "gang" in topsheet.commands
