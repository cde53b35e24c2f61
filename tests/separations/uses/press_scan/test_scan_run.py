"""The command on a scan, whole: profile, page, list and the picture of what was found."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.colour.figure_bases import resting_figures
from separations.colour.press_profile_file import read_press_profile
from separations.command_line import topsheet
from separations.uses.calibration.sheet_by_tones import read_sheet
from tests.made_up_scans import PrintedSheet, Taken, write_picture


@pytest.mark.long
def test_a_scan_makes_a_profile_that_the_next_run_uses_and_tells(
        printed: PrintedSheet, scanned_job: Path, tmp_path: Path) -> None:
    scan = write_picture(printed, Taken(turn=90.4, ppi=250), tmp_path / "scan.tif")
    out = tmp_path / "press"
    ran = CliRunner().invoke(topsheet, ["calibrate", str(scanned_job), str(scan),
                                        "--out", str(out)])
    assert ran.exit_code == 0, ran.output
    assert "note  Read from a scan of the print" in ran.output
    assert "solids and overprints stay estimates" in ran.output
    assert sorted(path.name for path in out.glob("[a-z]*")) == [
        "calibration.html", "press_profile.toml", "scan-found-1.jpg", "scan-readings.csv"]
    with Image.open(out / "scan-found-1.jpg") as drawn:
        assert min(drawn.size) > 500
    profile = read_press_profile(out / "press_profile.toml")
    assert profile.read_from == "scan"
    assert profile.wood_lab is None
    assert profile.overprint == ()
    page = (out / "calibration.html").read_text(encoding="utf-8")
    assert "read from a scan" in page
    assert "Seen on the print" in page
    right, down = printed.moved_mm[1] - printed.moved_mm[0]
    seen = profile.ink[1].seen
    assert seen.register is not None
    assert seen.register.across_mm == pytest.approx(-right, abs=0.03)
    assert seen.register.along_mm == pytest.approx(-down, abs=0.03)
    assert seen.smallest_tone is not None
    assert "Black lies" in page
    assert "Black lies" in ran.output
    # the list can be looked through, corrected and given in the picture's place
    _, readings = read_sheet(out / "scan-readings.csv", read_job(scanned_job))
    assert readings.density[14] > 0.3
    job_text = scanned_job.read_text(encoding="utf-8")
    (scanned_job.parent / "press.toml").write_text(
        (out / "press_profile.toml").read_text(encoding="utf-8"), encoding="utf-8")
    used = scanned_job.parent / "used.toml"
    # with a trap narrower than the inks lay apart
    used.write_text('press_profile = "press.toml"\n' + job_text.replace(
        "[separation]", '[separation]\ntrap = "0.1 mm"'), encoding="utf-8")
    told = [figure.source.told for figure in resting_figures(read_job(used))]
    assert any("read from a scan" in one for one in told)
    checked = CliRunner().invoke(topsheet, ["check", str(used)])
    assert "Register as printed, Yellow and Black: On the press's test sheet" in checked.output


def test_pictures_and_lists_do_not_go_together(
        scanned_job: Path, tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_text("patch,D\nA1,0\n", encoding="utf-8")
    ran = CliRunner().invoke(topsheet, ["calibrate", str(scanned_job), str(tmp_path / "list.csv"),
                                        str(tmp_path / "list.csv"), "--out",
                                        str(tmp_path / "out")])
    assert isinstance(ran.exception, InputProblem)
    assert ran.exception.found == "a file beside others that is not a picture"
    assert not (tmp_path / "out").exists()
