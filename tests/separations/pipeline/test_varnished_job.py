"""A varnished job: proof, report and findings show it, and its films do not know of it."""

from __future__ import annotations

import json
from pathlib import Path

import cv2
import numpy as np
import pytest

from preflight.job_file.job_reader import read_job
from separations.pipeline.calls import make_proof, run_job
from separations.pipeline.picture_stages import PROOF, UNVARNISHED_PROOF
from separations.pipeline.session import Session
from separations.pipeline.stages import FILM_CONTENT, PHOTO_TONES
from tests.coarse_job import write_coarse_job

GLOSS = ("[mesh]", '[finish]\nvarnish = "gloss"\n[mesh]')


def test_films_do_not_change_and_the_proof_does(tmp_path: Path) -> None:
    plain = Session(write_coarse_job(tmp_path), proof_ppi=50.0)
    coated = plain.changed(read_job(write_coarse_job(tmp_path, GLOSS)))
    assert coated.of(PHOTO_TONES) is plain.of(PHOTO_TONES)
    assert all(one is other for one, other in zip(
        coated.of(FILM_CONTENT), plain.of(FILM_CONTENT), strict=True))
    assert np.array_equal(coated.of(UNVARNISHED_PROOF), plain.of(PROOF))
    before, after = (one.of(PROOF).mean() for one in (plain, coated))
    assert before - 40 < after < before - 3


def test_the_report_shows_both(tmp_path: Path) -> None:
    path = write_coarse_job(tmp_path, GLOSS)
    outcome = run_job(path, tmp_path / "out")
    told = json.loads((tmp_path / "out" / "report.json").read_text(encoding="utf-8"))
    table, = (one for one in told["tables"] if one["title"] == "Under gloss varnish")
    assert [row[0] for row in table["rows"]] == ["bare wood", "Cyan", "Black", "Cyan + Black"]
    assert float(table["rows"][0][1]) > float(table["rows"][0][4]) + 3
    assert any("Saunderson 1942" in str(figure.source) for figure in outcome.submission.figures)
    both, = (one for one in outcome.extra_pictures if one.title == "Before and after the varnish")
    picture = cv2.imdecode(np.frombuffer(both.data, np.uint8), cv2.IMREAD_COLOR)
    assert picture is not None
    upper, lower = (half.mean() for half in np.array_split(picture, 2))
    assert upper > lower + 3


@pytest.mark.parametrize("varnish", ["matt", "satin"])
def test_a_proof_alone_shows_the_coat(tmp_path: Path, varnish: str) -> None:
    means = []
    for name, words in (("plain", ()), (varnish, (("[mesh]",
                        f'[finish]\nvarnish = "{varnish}"\n[mesh]'),))):
        path = write_coarse_job(tmp_path / name, *words)
        make_proof(path, tmp_path / f"{name}-out")
        picture = cv2.imread(str(tmp_path / f"{name}-out" / "proof.png"))
        assert picture is not None
        means.append(picture.mean())
    assert means[0] != means[1]
