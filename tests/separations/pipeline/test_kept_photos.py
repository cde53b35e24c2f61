"""Pictures kept for several who look at them hold what a fresh decoding gives."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from preflight.art.artwork import Artwork, open_artwork
from preflight.art.artwork_pixels import ArtPixels, load_pixels
from separations.pipeline import fact_stages, kept_photos, picture_stages, stages
from separations.pipeline.calls import fine_session
from separations.pipeline.kept_photos import KeptPhotos
from separations.pipeline.kept_results import KeptResults
from separations.pipeline.prepared_job import prepared
from separations.pipeline.stage import Stage
from tests.coarse_job import write_coarse_job


@pytest.mark.parametrize("mode", ["L", "LA", "RGB", "RGBA", "CMYK", "I;16"])
def test_kept_bands_are_those_of_a_fresh_decoding(tmp_path: Path, mode: str) -> None:
    rng = np.random.default_rng(1)
    path = tmp_path / "art.tif"
    if mode == "I;16":
        Image.fromarray(rng.integers(0, 65_536, (90, 41), dtype=np.uint16)).save(path)
    else:
        channels = len(Image.new(mode, (1, 1)).getbands())
        values = rng.integers(0, 256, (90, 41, channels), dtype=np.uint8)
        Image.fromarray(values.squeeze(), mode).save(path)
    art = open_artwork(path)
    fresh, kept = load_pixels(art), KeptPhotos(KeptResults())(art)
    for band in ((0, 90), (0, 1), (13, 57), (89, 90)):
        np.testing.assert_array_equal(kept.band(*band), fresh.band(*band))
        assert kept.band(*band).dtype == fresh.band(*band).dtype
    assert kept.uses_alpha == fresh.uses_alpha


def test_a_picture_is_decoded_once(tmp_path: Path) -> None:
    path = tmp_path / "art.png"
    Image.new("RGB", (20, 20), (9, 8, 7)).save(path)
    art, load = open_artwork(path), KeptPhotos(KeptResults())
    assert load(art) is load(art)
    assert load(art, shrink=8.0) is not load(art)
    assert load(open_artwork(path)) is load(art)
    first = load(art)
    load.forget()
    assert load(art) is not first


def test_a_large_photo_is_decoded_once_and_let_go(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    job, decoded = write_coarse_job(tmp_path / "job"), []

    def counted(artwork: Artwork, *, shrink: float = 1.0) -> ArtPixels:
        decoded.append(artwork.path.name)
        return load_pixels(artwork, shrink=shrink)

    monkeypatch.setattr(kept_photos, "load_pixels", counted)
    monkeypatch.setattr(kept_photos, "_MANY_PIXELS", 1000)
    session = fine_session(job)
    prepared(session)
    assert decoded.count("photo.png") == 1
    assert not session.keep._stays


def test_only_one_stage_takes_the_photos_on_the_proof_s_grid() -> None:
    every = [stage for module in (stages, fact_stages, picture_stages)
             for stage in vars(module).values() if isinstance(stage, Stage)]
    assert {stage.name for stage in every if picture_stages.PROOF_PHOTO in stage.needs} == {
        picture_stages.PROOF_TONES.name}
