"""Weighed ink undoes the estimate."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.ink_need.ink_estimate import Range, estimate_ink
from separations.uses.calibration.weighed_ink import Weighing, read_weighings, transfer_factors

Write = Callable[..., Path]
TRANSFER = Range(low=0.6, likely=0.72, high=0.8)


def test_the_run_s_estimate_gives_its_transfer_back() -> None:
    estimate = estimate_ink(
        ink="Rust", inked_mm2=90_000.0, printed_mm2=250_000.0, ink_volume_um=17.0,
        deposit=TRANSFER.times(17.0), density_g_per_ml=1.2, boards=12, left_in_screen_ml=100.0)
    weighing = Weighing(line=2, ink="Rust", boards=12, used_g=estimate.run_g.likely, left_g=120.0)
    factor = transfer_factors((weighing,), {"Rust": estimate}, Path("w.csv"))["Rust"]
    assert factor.likely == pytest.approx(TRANSFER.likely)
    assert factor.low == pytest.approx(TRANSFER.likely * 1.075 / 1.10)
    assert factor.high == pytest.approx(TRANSFER.likely * 1.075 / 1.05)
    # by hand: 9 dm² under 17 µm is 1.53 ml, 1.836 g a board
    by_hand = (estimate.run_g.likely - 120.0) / 1.075 / 12 / 1.836
    assert factor.likely == pytest.approx(by_hand)


def test_what_was_not_weighed_widens_the_range_and_runs_are_put_together() -> None:
    estimate = estimate_ink(
        ink="Rust", inked_mm2=90_000.0, printed_mm2=250_000.0, ink_volume_um=17.0,
        deposit=TRANSFER.times(17.0), density_g_per_ml=1.2, boards=400)
    runs = (Weighing(line=2, ink="Rust", boards=400, used_g=750.0, left_g=None),
            Weighing(line=3, ink="Rust", boards=100, used_g=260.0, left_g=110.0))
    factor = transfer_factors(runs, {"Rust": estimate}, Path("w.csv"))["Rust"]
    first = transfer_factors(runs[:1], {"Rust": estimate}, Path("w.csv"))["Rust"]
    second = transfer_factors(runs[1:], {"Rust": estimate}, Path("w.csv"))["Rust"]
    assert first.high - first.low > 0.2
    assert factor.low == min(first.low, second.low)
    assert factor.high == max(first.high, second.high)
    assert factor.likely == pytest.approx(0.8 * first.likely + 0.2 * second.likely)


@pytest.mark.parametrize(("text", "found"), [
    ("ink,boards,grams used\nRed,3,100\n", "line 2: found the ink 'Red'; 'Yellow' or 'Magenta'"),
    ("ink,boards\nCyan,3\n", "line 2: found no 'grams used'"),
    ("ink;boards;grams used\nCyan;2,5;100\n", "line 2, boards: found '2,5'; a whole number"),
    ("ink;boards;grams used\nCyan;3;lots\n", "grams used: found 'lots'"),
    ("ink;boards;grams used;left in screen grams\nCyan;3;90;91\n", "left in screen grams: found"),
    ("ink;boards;grams used;tin\nCyan;3;90;1\n", "heading: found 'tin'"),
    ("ink;boards;grams used\n", "found no weighed ink"),
])
def test_faults(small_job: Write, tmp_path: Path, text: str, found: str) -> None:
    path = tmp_path / "weighed.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputProblem) as caught:
        read_weighings(path, read_job(small_job()))
    assert found in caught.value.sentence


def test_grams_beyond_reason() -> None:
    estimate = estimate_ink(
        ink="Rust", inked_mm2=90_000.0, printed_mm2=250_000.0, ink_volume_um=17.0,
        deposit=TRANSFER.times(17.0), density_g_per_ml=1.2, boards=12)
    weighing = Weighing(line=2, ink="Rust", boards=12, used_g=100.0, left_g=None)
    with pytest.raises(InputProblem, match="180 g of it taken to be left in the screen, so that "):
        transfer_factors((weighing,), {"Rust": estimate}, Path("w.csv"))
    weighing = Weighing(line=2, ink="Rust", boards=12, used_g=120.0, left_g=20.0)
    with pytest.raises(InputProblem) as caught:
        transfer_factors((weighing,), {"Rust": estimate}, Path("w.csv"))
    assert caught.value.sentence == (
        "w.csv: line 2, Rust: found 120 g on 12 boards, 20 g of it left in the screen, so that the "
        "print took 4.22 times the mesh's theoretical ink volume; grams that make it 0.05 to 2 "
        "times would do.")  # 100 g / 1.075 / 12 / 1.836 g a board
