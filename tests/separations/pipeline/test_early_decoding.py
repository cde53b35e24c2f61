"""Photographs are decoded early; what cannot be read is told where it is asked for."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from preflight.art.artwork import Artwork
from preflight.art.artwork_pixels import ArtPixels, load_pixels
from preflight.files.file_contents import FileContents
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.pipeline import kept_photos
from separations.pipeline.early_decoding import DECODER, decode_early
from separations.pipeline.kept_results import KeptResults
from separations.pipeline.prepared_job import prepared
from separations.pipeline.session import Session
from tests.prepared_jobs import prepare


def _begun(path: Path) -> Session:
    job, keep, contents = read_job(path), KeptResults(), FileContents()
    decode_early(job, keep, contents)
    for thread in threading.enumerate():
        if thread.name == DECODER:
            thread.join(20.0)
    return Session(job, keep=keep, contents=contents)


def test_a_photograph_decoded_early_is_not_decoded_again(
        small_job: Callable[..., Path], monkeypatch: pytest.MonkeyPatch) -> None:
    decoded: list[str] = []

    def load(artwork: Artwork, *, shrink: float = 1.0) -> ArtPixels:
        decoded.append(artwork.path.name)
        return load_pixels(artwork, shrink=shrink)

    monkeypatch.setattr(kept_photos, "load_pixels", load)
    job = small_job()
    session = _begun(job)
    assert decoded == ["photo.png"]
    early, plain = prepared(session), prepare(job)
    assert decoded == ["photo.png"] * 2  # the second for the job that was not begun early
    assert (early.separation.planes == plain.separation.planes).all()
    assert early.findings == plain.findings


@pytest.mark.parametrize("spoil", ["photo", "no photo"])
def test_what_cannot_be_read_is_told_when_asked(
        small_job: Callable[..., Path], spoil: str) -> None:
    job = small_job()
    photo = job.parent / "photo.png"
    if spoil == "photo":
        photo.write_bytes(photo.read_bytes()[:900])
    else:
        photo.unlink()
    session = _begun(job)
    with pytest.raises(InputProblem):
        prepared(session)
