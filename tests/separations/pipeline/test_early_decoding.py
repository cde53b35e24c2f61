"""Photographs are decoded ahead; what cannot be read is told where the job is read in earnest."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from preflight.art import kept_pixels
from preflight.art.artwork import Artwork, open_artwork
from preflight.art.artwork_pixels import ArtPixels, load_pixels
from preflight.input_problem import InputProblem
from separations.pipeline.early_decoding import READER, read_ahead
from separations.pipeline.prepared_job import prepare, silent


def _wait_for_readers() -> None:
    for thread in threading.enumerate():
        if thread.name == READER:
            thread.join(20.0)


def test_a_photograph_decoded_ahead_is_not_decoded_again(
        small_job: Callable[..., Path], monkeypatch: pytest.MonkeyPatch) -> None:
    decoded: list[str] = []

    def load(artwork: Artwork, *, shrink: float = 1.0) -> ArtPixels:
        decoded.append(artwork.path.name)
        return load_pixels(artwork, shrink=shrink)

    monkeypatch.setattr(kept_pixels, "load_pixels", load)
    job = small_job()
    kept = read_ahead(job)
    _wait_for_readers()
    assert decoded == ["photo.png"]
    ahead, plain = prepare(job, silent, load=kept), prepare(job, silent)
    assert decoded == ["photo.png"] * 2  # the second for the job that was not read ahead
    assert (ahead.separation.planes == plain.separation.planes).all()
    assert ahead.findings == plain.findings
    kept(open_artwork(job.parent / "photo.png"))
    assert decoded == ["photo.png"] * 3  # once prepared, nothing is kept


@pytest.mark.parametrize("spoil", ["job", "photo", "no photo"])
def test_what_cannot_be_read_is_told_in_earnest(
        small_job: Callable[..., Path], spoil: str) -> None:
    job = small_job()
    photo = job.parent / "photo.png"
    if spoil == "job":
        job.write_text("title = [", encoding="utf-8")
    elif spoil == "photo":
        photo.write_bytes(photo.read_bytes()[:900])
    else:
        photo.unlink()
    kept = read_ahead(job)
    _wait_for_readers()
    with pytest.raises(InputProblem):
        prepare(job, silent, load=kept)
