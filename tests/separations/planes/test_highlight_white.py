"""White printed last, where the photograph is lighter than the wood can show."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.art.artwork import open_artwork
from preflight.findings import Grade
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import colour_difference
from separations.colour.job_inks import separation_model
from separations.pipeline.fact_stages import FINDINGS
from separations.pipeline.picture_stages import PROOF_GRID, PROOF_TONES
from separations.pipeline.session import Session
from separations.pipeline.stages import PHOTO_TONES
from separations.planes.highlight_white import highlights_of
from separations.planes.photo_lattices import PhotoLattices, photo_lattices
from separations.planes.separation import separate
from separations.proof.photo_beside_print import beside_print

Write = Callable[..., Path]
HIGHLIGHT = ('[[ink]]\nname = "White"\ncolour = "opaque white"\nprints = "highlight white"\n'
             'angle = 37.5\nheat_limit = "140 °C"\n')
FIRST = '[[ink]]\nname = "Yellow"'
RAMPS = {"greys": ((0, 0, 0), (255, 255, 255)), "sky": ((90, 150, 235), (255, 255, 255)),
         "sand": ((120, 90, 60), (255, 245, 225)), "yellow": ((120, 90, 0), (255, 240, 60))}


def with_highlights(small_job: Write, *more: tuple[str, str]) -> Path:
    path = small_job(*more)
    path.write_text(path.read_text(encoding="utf-8") + HIGHLIGHT, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def separated(tmp_path_factory: pytest.TempPathFactory) -> tuple[Job, PhotoLattices]:
    from tests.small_art import write_small_job

    path = write_small_job(tmp_path_factory.mktemp("white"))
    path.write_text(path.read_text(encoding="utf-8") + HIGHLIGHT, encoding="utf-8")
    job = read_job(path)
    colour = open_artwork(path.parent / "photo.png").colour
    return job, photo_lattices(job, separation_model(job), [colour])[0]


def printed(job: Job, lattices: PhotoLattices, rgb: NDArray[np.uint16]
            ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """White tones (0 to 1), and Lab of the whole print, of a row of colours."""
    assert lattices.highlight is not None
    planes = np.concatenate([separate(rgb, lattices.inks), separate(rgb, lattices.highlight)])
    tones = planes[:, 0].T / 65_535
    return tones[:, -1], highlights_of(job).model.predict_lab(tones)


@pytest.mark.parametrize("name", RAMPS)
def test_ramps_to_white_rise_smoothly(
        separated: tuple[Job, PhotoLattices], name: str) -> None:
    first, last = (np.array(end) * 257.0 for end in RAMPS[name])
    share = np.linspace(0.0, 1.0, 256)[None, :, None]
    white, lab = printed(*separated, np.rint(first + share * (last - first)).astype(np.uint16))
    assert np.diff(lab[:, 0]).min() > -0.3
    assert np.abs(np.diff(lab, 2, axis=0)).max() < 1.5
    assert (np.diff(white) > -0.02).all()


def test_white_is_white_and_begins_where_the_wood_ends(
        separated: tuple[Job, PhotoLattices]) -> None:
    grey = np.repeat(np.arange(256, dtype=np.uint16) * 257, 3).reshape(1, 256, 3)
    white, lab = printed(*separated, grey)
    wood, solid = (highlights_of(separated[0]).model.primaries_lab[k] for k in (0, 16))
    assert not white[lab[:, 0] < wood[0] - 1.5].any()
    assert (white[lab[:, 0] > wood[0] + 1.5] > 0).all()
    assert white[-1] > 0.8
    assert lab[-1, 0] > wood[0] + 0.7 * (solid[0] - wood[0])


def test_strong_colours_keep_their_ink(separated: tuple[Job, PhotoLattices]) -> None:
    strong = np.array([[[255, 255, 0], [255, 60, 60], [0, 200, 255]]], np.uint16) * 257
    assert printed(*separated, strong)[0].max() < 0.05


def test_the_whole_print_is_scored(separated: tuple[Job, PhotoLattices]) -> None:
    """Wood, inks and white together, against an aim that does not jump where white begins."""
    job, lattices = separated
    assert lattices.highlight is not None
    nodes = np.concatenate([lattices.inks.nodes, lattices.highlight.nodes], axis=-1)
    whole = highlights_of(job).model.predict_lab(nodes / 65_535)
    missed = colour_difference(whole, lattices.inks.node_wanted_lab)
    assert np.abs(missed - lattices.inks.node_difference).max() < 0.01
    greys = np.arange(33)
    aimed = lattices.inks.node_wanted_lab[greys, greys, greys].astype(np.float64)
    assert (np.diff(aimed[:, 0]) > 0).all()
    assert np.abs(np.diff(aimed, 2, axis=0)).max() < 4.0
    assert missed[greys, greys, greys].mean() < 3.0


def test_the_print_is_nearer_to_the_photograph(small_job: Write) -> None:
    """Against the photograph itself, by an eye that takes nothing else for white."""
    picture = np.clip(np.linspace(60, 255, 1240)[None, :, None] * [0.95, 0.98, 1.0], 0, 255)
    off = []
    for white in (False, True):
        path = with_highlights(small_job) if white else small_job()
        cv2.imwrite(str(path.parent / "photo.png"), np.tile(picture, (360, 1, 1)).astype(np.uint8))
        session = Session(path, finest_ppi=72.0)
        separation = session.of(PHOTO_TONES)
        beside = beside_print(session.job, separation)
        assert beside is not None
        there = np.isfinite(beside.photo_lab[..., 0])
        off.append(float(colour_difference(beside.photo_lab[there],
                                           beside.print_lab[there]).mean()))
    assert off[1] < 0.8 * off[0]


def test_line_work_is_never_covered(small_job: Write) -> None:
    """White comes last: it is cleared where lines lie, also where these are overprinted."""
    for beneath in ("knock out", "overprint"):
        path = with_highlights(small_job, ('ink = "Black"\nturn', f'ink = "Black"\nbeneath = '
                                           f'"{beneath}"\nturn'))
        cv2.imwrite(str(path.parent / "photo.png"), np.full((360, 1240, 3), 255, np.uint8))
        lines = np.full((720, 2480), 255, np.uint8)
        lines[300:420, 1000:1480] = 0
        cv2.imwrite(str(path.parent / "lines.png"), lines)
        tones, grid = Session(path, finest_ppi=72.0, proof_ppi=50.0).all_of(
            PROOF_TONES, PROOF_GRID)
        column = round(grid.column_of(0.0))
        assert tones[4, round(grid.row_of(0.0)), column] == 0
        assert tones[3, round(grid.row_of(0.0)), column] == 65_535
        assert tones[4, round(grid.row_of(60.0)), column] > 50_000


def test_no_finding_calls_its_place_a_fault(small_job: Write) -> None:
    told = Session(with_highlights(small_job), finest_ppi=72.0).of(FINDINGS)
    assert not [one for one in told if one.grade is not Grade.CLEAR
                and one.id in ("opaque-first", "light-first", "film-blank")]


def test_a_white_no_lighter_than_the_wood_prints_nothing(small_job: Write) -> None:
    job = read_job(with_highlights(small_job, ("[mesh]", "[wood]\nlab = [96, 0, 3]\n[mesh]")))
    assert highlights_of(job).kept == 1.0
    colour = open_artwork(job.path.parent / "photo.png").colour
    lattices = photo_lattices(job, separation_model(job), [colour])[0]
    assert lattices.highlight is not None
    assert not lattices.highlight.nodes.any()
    plain = replace(job, ink=job.ink[:-1])
    same = photo_lattices(plain, separation_model(plain), [colour])[0]
    assert np.array_equal(same.inks.nodes, lattices.inks.nodes)


def test_there_is_one_and_it_comes_last(small_job: Write) -> None:
    path = with_highlights(small_job)
    text = path.read_text(encoding="utf-8")
    path.write_text(text + HIGHLIGHT.replace('"White"', '"Milk"'), encoding="utf-8")
    with pytest.raises(InputProblem, match="a second highlight white; one highlight white"):
        read_job(path)
    path.write_text(text.replace(HIGHLIGHT, "").replace(FIRST, HIGHLIGHT + FIRST),
                    encoding="utf-8")
    with pytest.raises(InputProblem, match="printed before inks of the photograph"):
        read_job(path)
