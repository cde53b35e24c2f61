"""What the page shows is what the command makes: pictures, findings, dots, ink."""

from __future__ import annotations

import json
import time
from dataclasses import replace
from pathlib import Path
from queue import Queue
from typing import Any

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.findings import Grade
from preflight.job_file.job_reader import read_job
from preflight.units import Length
from separations.measuring.hold.film_windows import Window
from separations.pipeline.calls import check_job, make_proof, quick_session
from separations.pipeline.picture_stages import FILM_WINDOWS, PROOF
from separations.pipeline.session import Session
from separations.pipeline.stages import FILM_SHEET
from separations.uses.layout_page.job_looks import JobLooks
from separations.uses.layout_page.open_job import OpenJob
from separations.uses.layout_page.shown_findings import finding_told
from separations.uses.layout_page.slow_looks import SlowLooks
from separations.uses.layout_page.variants import VARIANT_KINDS, variants_of
from tests.separations.uses.layout_page.conftest import Serve, Served
from tests.small_art import write_small_job

MORE = """
[[line]]
points = [["-6 cm", "1 cm"], ["0 mm", "-12 mm"], ["70 mm", "15 mm"]]
ink = "Black"
smooth = true
name = "Dyke walk"
arrow = "3 mm"
[[note]]
text = "Weir"
at = ["20 mm", "5 mm"]
label_offset = ["10 mm", "8 mm"]
ink = "Cyan"
[separation]"""


@pytest.fixture(scope="module")
def served(serve: Serve, tmp_path_factory: pytest.TempPathFactory) -> Served:
    """A server with the small job, a line and a note on it, and the photo moved and saved."""
    path = write_small_job(tmp_path_factory.mktemp("looks") / "job", ("[separation]", MORE))
    served = serve(path)
    served.edit({"set": ["art", 0, "offset_along"], "to": "2.5 mm"},
                {"set": ["art", 0, "turn"], "to": 91})
    served.told("/api/save", {})
    return served


def decoded(png: bytes) -> NDArray[np.uint8]:
    read = np.asarray(cv2.imdecode(np.frombuffer(png, np.uint8), cv2.IMREAD_COLOR), np.uint8)
    return np.ascontiguousarray(read[:, :, ::-1])


def pixels_of(answer: tuple[int, dict[str, str], bytes]) -> NDArray[np.uint8]:
    """A picture as it travels to the page: sRGB and an alpha."""
    status, headers, body = answer
    place = json.loads(headers["x-place"])
    assert status == 200
    return np.frombuffer(body, np.uint8).reshape(place["rows"], place["columns"], 4)


def opaque(answer: tuple[int, dict[str, str], bytes]) -> NDArray[np.uint8]:
    """Its colours; nothing of a board's picture is seen through."""
    pixels = pixels_of(answer)
    assert (pixels[:, :, 3] == 255).all()
    return pixels[:, :, :3]


@pytest.mark.parametrize("ppi", [18, pytest.param(100, marks=pytest.mark.long)])
def test_the_picture_is_the_proof_pixel_for_pixel(served: Served, ppi: int,
                                                  tmp_path: Path) -> None:
    answer = served.ask(f"/api/picture?ppi={ppi}")
    assert served.job
    proof = quick_session(served.job, ppi).of(PROOF)
    assert np.array_equal(opaque(answer), proof)
    place = json.loads(answer[1]["x-place"])
    assert place["pixel"] == pytest.approx(25.4 / ppi)
    if ppi == 100:  # that of the command
        make_proof(served.job, tmp_path / "proof")
        assert np.array_equal(decoded((tmp_path / "proof" / "proof.png").read_bytes()), proof)
        part = served.ask("/api/picture?ppi=100&part=-20,-10,30,15")
        at = json.loads(part[1]["x-place"])
        left = round((at["left"] - place["left"]) / place["pixel"])
        top = round((place["top"] - at["top"]) / place["pixel"])
        small = opaque(part)
        assert np.array_equal(
            small, proof[top:top + small.shape[0], left:left + small.shape[1]])
        assert small.shape[1] == pytest.approx(50 / place["pixel"], abs=2)


def test_inks_left_off_are_not_on_the_picture(served: Served) -> None:
    def without(*inks: str) -> NDArray[np.uint8]:
        words = "".join(f"&without={ink}" for ink in inks)
        return opaque(served.ask(f"/api/picture?ppi=18{words}"))

    whole, none = without(), without("Yellow", "Magenta", "Cyan", "Black")
    assert none.mean() > whole.mean() + 20
    middle = none[none.shape[0] // 2 - 5:none.shape[0] // 2 + 5, 60:-60].reshape(-1, 3)
    assert middle.std(axis=0).max() < 4  # the wood alone
    assert without("Black").mean() > whole.mean()
    assert without("Green").tolist() == whole.tolist()


def test_findings_are_those_of_the_command_on_the_saved_job(served: Served) -> None:
    found = served.findings()
    assert served.job
    wanted = [finding_told(one) for one in check_job(served.job).findings]
    assert found["findings"] == json.loads(json.dumps(wanted))
    assert any(one.grade is not Grade.CLEAR for one in check_job(served.job).findings)


@pytest.mark.long
def test_a_mend_from_the_page_is_one_edit_that_takes_its_finding_away(serve: Serve,
                                                                      tmp_path: Path) -> None:
    path = write_small_job(tmp_path / "job", ("45 lpi", "90 lpi"))
    served = serve(path)
    found = served.findings()
    assert any(one["check"].startswith("Ruling") or "lpi" in one["says"]
               for one in found["findings"] if one["grade"] != "clear")
    mends = [mend for mend in found["mends"] if mend["path"][-1] == "ruling"]
    assert mends
    before = path.read_text(encoding="utf-8")
    served.edit({"set": mends[0]["path"], "to": mends[0]["after"]})
    served.told("/api/save", {})
    assert f'ruling = "{mends[0]["after"]}"' in path.read_text(encoding="utf-8")
    again = served.findings()
    assert mends[0]["why"] not in [mend["why"] for mend in again["mends"]]
    served.told("/api/move", {"by": -1})
    served.told("/api/save", {})
    assert path.read_text(encoding="utf-8") == before


def dots(served: Served, words: str) -> tuple[dict[str, int], bytes]:
    """What the loupe shows, waited for."""
    end = time.monotonic() + 90
    served.findings()  # a page listens, so that slow work is begun
    import http.client

    line = http.client.HTTPConnection("127.0.0.1", served.port, timeout=90)
    line.request("GET", "/api/news", headers={"x-topsheet-token": served.token})
    line.getresponse()
    try:
        while time.monotonic() < end:
            status, headers, body = served.ask(f"/api/loupe?{words}")
            if status == 200:
                return json.loads(headers["x-place"]), body
            assert status == 202
            time.sleep(0.1)
    finally:
        line.close()
    raise AssertionError("no dots came")


def test_the_loupe_shows_the_film_s_own_bits(served: Served) -> None:
    place, body = dots(served, "x=20&y=-4&rows=120&columns=90")
    rows, columns, wide = place["rows"], place["columns"], -(-place["columns"] // 8)
    assert (rows, columns) == (120, 90)
    packed = np.frombuffer(body, np.uint8).reshape(4, rows, wide)
    assert served.job
    films, sheet = Session(served.job).all_of(FILM_WINDOWS, FILM_SHEET)
    window = Window(place["row"], place["row"] + rows, place["column"], place["column"] + columns)
    for film, shown in zip(films, packed, strict=True):
        bits = np.unpackbits(shown, axis=1, count=columns).view(np.bool_)
        assert np.array_equal(bits, film.bits(window))
        assert 0 < bits.mean() < 1
    grid = sheet.art_grid
    assert place["row"] + rows / 2 == pytest.approx(grid.row_of(20.0), abs=1)
    assert place["column"] + columns / 2 == pytest.approx(grid.column_of(-4.0), abs=1)


def test_from_afar_the_loupe_shows_the_mean_of_the_dots(served: Served) -> None:
    step = 6
    near, body = dots(served, f"x=20&y=-4&rows={20 * step}&columns={20 * step}")
    wide = -(-near["columns"] // 8)
    packed = np.frombuffer(body, np.uint8).reshape(4, near["rows"], wide)
    bits = np.unpackbits(packed[2], axis=2 - 1, count=near["columns"])
    far, seen = dots(served, f"x=20&y=-4&rows=20&columns=20&step={step}&ink=2")
    assert (far["row"], far["column"]) == (near["row"], near["column"])
    shown = np.frombuffer(seen, np.uint8).reshape(20, 20, 3)[:, :, 0] / 255
    linear = np.where(shown <= 0.04045, shown / 12.92, ((shown + 0.055) / 1.055) ** 2.4)
    clear = 1 - bits.reshape(20, step, 20, step).mean(axis=(1, 3))
    assert np.abs(linear - clear).max() < 0.02
    _, colours = dots(served, f"x=20&y=-4&rows=20&columns=20&step={step}")
    assert np.frombuffer(colours, np.uint8).reshape(20, 20, 3).std() > 5


def test_ink_is_told_as_the_films_hold_it(served: Served, tmp_path: Path) -> None:
    from separations.pipeline.calls import estimate_job_ink

    told = served.told("/api/ink")
    assert served.job
    counted = estimate_job_ink(served.job, tmp_path / "ink").estimates
    for shown, estimate in zip(told["inks"], counted, strict=True):
        assert shown["ink"] == estimate.ink
        assert shown["board"][1] == pytest.approx(estimate.board_g.likely, rel=0.04)
        assert shown["run"][1] == pytest.approx(estimate.run_g.likely, rel=0.04)


def test_the_scene_says_where_everything_lies(served: Served) -> None:
    told = served.told()
    scene = told["scene"]
    assert scene["faults"] == []
    assert scene["board"]["trim"].startswith("M")
    assert [one["file"] for one in scene["art"]] == ["photo.png", "lines.png"]
    kinds = {one["table"]: one for one in scene["drawn"]}
    assert kinds["line"]["points"][0] == [-60, 10]
    assert kinds["note"]["label"] == [30, 13]
    assert [ink["name"] for ink in scene["inks"]] == ["Yellow", "Magenta", "Cyan", "Black"]
    assert len(scene["overprints"]) == 16
    again = served.told(f"/api/job?known={told['boardDigest']}")
    assert "board" not in again["scene"]


def test_a_job_whose_files_are_gone_is_shown_with_a_sentence(serve: Serve, tmp_path: Path) -> None:
    path = write_small_job(tmp_path / "job")
    (path.parent / "photo.png").unlink()
    served = serve(path)
    told = served.told()
    assert any("photo.png: found no such file" in fault for fault in told["scene"]["faults"])
    assert told["scene"]["board"]["trim"]
    status, _, body = served.ask("/api/picture?ppi=20")
    assert status == 422
    assert "photo.png" in json.loads(body)["sentence"]


@pytest.mark.parametrize("kind", VARIANT_KINDS)
def test_every_variant_is_a_job_and_one_of_them_is_the_job_as_it_is(served: Served,
                                                                    kind: Any) -> None:
    listed = json.loads(served.ask(f"/api/variants?kind={kind}")[2])
    assert len(listed) >= 3
    assert sum(not one["edits"] for one in listed) == 1
    for number, one in enumerate(listed[:3]):
        status, _, png = served.ask(f"/api/variant?kind={kind}&n={number}")
        assert status == 200, one
        assert decoded(png).shape[1] > 100


def test_variants_lead_to_what_they_say(tmp_path: Path) -> None:
    job = OpenJob(write_small_job(tmp_path / "job"))
    for kind in VARIANT_KINDS:
        for variant in variants_of(job.now().job, kind):
            if variant.edits:
                job.edit(list(variant.edits), variant.label, job.revision)
                after = variants_of(job.now().job, kind)
                assert [one.label for one in after if not one.edits] == [variant.label]
                job.move(-1)
    job.close()


def test_looks_at_photographs_no_longer_on_the_board_hold_no_memory(tmp_path: Path) -> None:
    path = write_small_job(tmp_path / "job")
    (path.parent / "other.png").write_bytes((path.parent / "photo.png").read_bytes())
    job = OpenJob(path)
    looks = JobLooks(job.now().job, job.revision)
    looks.picture(looks.session, 20)
    stays = vars(looks.keep)["_stays"]
    assert len(stays) == 1
    for name in ("other.png", "photo.png") * 3:
        job.edit([{"set": ["art", 0, "file"], "to": name}], "", job.revision)
        now = job.now()
        looks.show(now.job, now.revision)
        looks.picture(looks.session, 20)
        assert len(stays) <= 1
    job.close()


def test_a_text_s_picture_is_made_before_it_is_asked(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    looks = JobLooks(read_job(write_small_job(tmp_path / "job")), 1)
    asked = looks.picture(looks.session, 18.0)
    moved = replace(looks.session.job.art[0], offset_along=Length(3.0, "3 mm"))
    looks.show(replace(looks.session.job, art=(moved, *looks.session.job.art[1:])), 2)
    looks.prepare_picture(looks.session)

    def nothing_more(*_: Any) -> None:
        raise AssertionError("a stage was made after all")

    monkeypatch.setattr("separations.pipeline.session._Asking._run", nothing_more)
    assert looks.picture(looks.session, 18.0).pixels != asked.pixels


def test_a_fault_in_one_look_is_told_and_does_not_end_the_next(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    looks, told = JobLooks(read_job(write_small_job(tmp_path / "job")), 1), Queue[Any]()
    sound = looks.found_at_once

    def faulty(_session: Session) -> Any:
        monkeypatch.setattr(looks, "found_at_once", sound)
        raise RuntimeError("a fault of ours")

    monkeypatch.setattr(looks, "found_at_once", faulty)
    slow = SlowLooks(looks, lambda kind, **news: told.put((kind, news)), lambda: True)
    slow.start()
    kind, news = told.get(timeout=60)
    assert kind == "fault"
    assert "a fault of the page's own (RuntimeError). Please send" in news["sentence"]
    looks.show(replace(looks.session.job, boards=3), 2)
    slow.changed()
    while kind != "findings":
        kind, news = told.get(timeout=60)
    slow.stop()
    assert slow.found
    assert slow.found[0] == 2


def test_art_travels_with_what_of_it_is_seen_through(served: Served) -> None:
    assert served.job
    photo, lines = (pixels_of(served.ask(f"/api/art?n={n}&side=620")) for n in (0, 1))
    seen = decoded((served.job.parent / "photo.png").read_bytes())
    assert photo.shape == (180, 620, 4)
    assert (photo[:, :, 3] == 255).all()
    assert np.abs(photo[:, :, :3].mean((0, 1)) - seen.mean((0, 1))).max() < 1
    assert (lines[:, :, :3] == 0).all()
    assert 0 < (lines[:, :, 3] > 128).mean() < 0.5


def test_dots_of_a_former_text_are_let_go(tmp_path: Path) -> None:
    looks = JobLooks(read_job(write_small_job(tmp_path / "job")), 1)
    slow = SlowLooks(looks, lambda *_, **__: None, lambda: False)
    slow.dots = 1, looks.loupe(looks.session)
    slow.changed()
    assert slow.dots is not None  # of the newest text: another hand's change, say, that is none
    looks.show(looks.session.job, 2)
    slow.changed()
    assert slow.dots is None
