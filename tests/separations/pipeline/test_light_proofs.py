"""Proofs under other lights: pictures, figures and refusals, through the command."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from click.testing import CliRunner
from PIL import Image

from separations.command_line import topsheet
from tests.spectral_inks import write_spectral_job


def proof(job: Path, *words: str) -> tuple[int, str]:
    ran = CliRunner().invoke(topsheet, ["proof", str(job), *words])
    return ran.exit_code, ran.output


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
