"""Proofs under other lights: pictures and figures of a session, and through the command."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from separations.colour.lights import light_named
from separations.command_line import topsheet
from separations.pipeline.calls import quick_session
from separations.pipeline.light_pictures import write_in_lights
from separations.pipeline.picture_stages import PROOF
from tests.spectral_inks import write_spectral_job


def proof(job: Path, *words: str) -> tuple[int, str]:
    ran = CliRunner().invoke(topsheet, ["proof", str(job), *words])
    return ran.exit_code, ran.output


def test_boards_under_two_lights(tmp_path: Path) -> None:
    session = quick_session(write_spectral_job(tmp_path / "a"), 30.0)
    d50 = session.of(PROOF).astype(int)
    write_in_lights(session, [light_named("D50"), light_named("A")], tmp_path)
    same, lamp = (np.asarray(Image.open(tmp_path / f"proof-{name}.png")).astype(int)
                  for name in ("D50", "A"))
    assert np.abs(same - d50).max() <= 1
    assert 0.5 < np.abs(lamp - d50).mean() < 20
    assert (tmp_path / "lights.csv").read_text().count("\n") == 1 + 2 * 19


@pytest.mark.long
def test_a_picture_for_each_light(tmp_path: Path) -> None:
    job = write_spectral_job(tmp_path / "a")
    code, told = proof(job, "--light", "A", "--light", "12000 K", "--light", "a")
    assert code == 0, told
    assert "A: colours move by ΔE00 " in told
    out = tmp_path / "a" / "marsh-proof"
    assert {path.name for path in out.iterdir() if not path.name.startswith(".")} == {
        "proof.png", "proof-dots.png", "proof-A.png", "proof-12000K.png", "lights.csv"}
    pictures = [np.asarray(Image.open(out / name)).astype(int) for name in
                ("proof.png", "proof-A.png", "proof-12000K.png")]
    assert pictures[0].shape == pictures[1].shape
    middle = [picture[picture.shape[0] // 2, picture.shape[1] // 2] for picture in pictures]
    assert not np.array_equal(middle[0], middle[1])
    for picture in pictures[1:]:  # the table beside the board is grey, under any light
        np.testing.assert_array_equal(picture[0, 0], pictures[0][0, 0])
    assert 0.5 < np.abs(pictures[1] - pictures[0]).mean() < 20
