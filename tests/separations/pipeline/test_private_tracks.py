"""Nothing of a track's names, times and places is in any output."""

from __future__ import annotations

import re
from pathlib import Path

import pypdfium2
import pytest

from separations.pipeline.calls import run_job
from tests.track_art import LANDMARKS, earth, walk, write_track_job

TRACK = ('[[track]]\nfile = "walks.gpx"\nink = "Black"\non = "both"\n'
         '[plan]\nat = ["0 mm", "0 mm"]\nwidth = "60 mm"\nheight = "40 mm"\nink = "Black"\n')


@pytest.mark.long
def test_no_output_tells_where_or_when(tmp_path: Path) -> None:
    """A long test, since it makes all outputs of a job: texts, pages and what pages hold."""
    job = write_track_job(tmp_path / "job", TRACK, walk())
    run_job(job, tmp_path / "out")
    lat, lon, _ = earth(LANDMARKS)
    secrets = ["Whisper Hollow", "2031-07", "04:05:06", "2031",
               *(f"{value:.4f}" for value in (*lat, *lon)), "46.5", "27.25"]
    looked_at = 0
    for path in sorted((tmp_path / "out").rglob("*")):
        if not path.is_file():
            continue
        text = path.read_bytes().decode("latin-1") if path.suffix != ".pdf" else "".join(
            page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(path))
        text = re.sub(r"data:[a-z/]+;base64,[A-Za-z0-9+/=]+", "", text)
        looked_at += 1
        found = [secret for secret in secrets[:-2] if secret in text]
        if path.suffix in (".html", ".json", ".csv"):
            found += [secret for secret in secrets[-2:]
                      if re.search(rf"(?<![\d.]){re.escape(secret)}\d{{3}}", text)]
        assert found == [], path.name
    assert looked_at > 8
