"""Files handed over by the page: named plainly, kept to the job's folder, refused whole."""

from __future__ import annotations

import json
import urllib.parse
import zlib
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pikepdf
import pytest

from preflight.input_problem import InputProblem
from separations.uses.layout_page.begun_job import folder_name
from separations.uses.layout_page.received_files import plain_name
from tests.pdf_pages import changed, halves, write_pdf
from tests.separations.uses.layout_page.conftest import Serve, Served
from tests.small_art import write_small_job

PICTURE = cv2.imencode(".png", np.zeros((40, 60, 3), np.uint8))[1].tobytes()
ENTITY = (b'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg xmlns="http://www.w3.org/'
          b'2000/svg" viewBox="0 0 9 9" width="9mm" height="9mm"><text>&x;</text></svg>')


@pytest.fixture(scope="module")
def served(serve: Serve, tmp_path_factory: pytest.TempPathFactory) -> Served:
    return serve(write_small_job(tmp_path_factory.mktemp("received") / "job"))


@pytest.fixture(scope="module")
def beginning(serve: Serve, tmp_path_factory: pytest.TempPathFactory) -> Served:
    """A server without a job, with a PDF of two pages handed over."""
    folder = tmp_path_factory.mktemp("beginning")
    begun = serve(None, folder)
    path = write_pdf(folder / "a.pdf", halves, halves)
    assert hand_over(begun, "a.pdf", path.read_bytes())[0] == 200
    return begun


def hand_over(served: Served, name: str, body: bytes) -> tuple[int, dict[str, object]]:
    status, _, said = served.ask(f"/api/files?name={urllib.parse.quote(name)}", body=body)
    return status, json.loads(said)


def names_in(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*")}


@pytest.mark.parametrize(("asked", "kept"), [
    ("../../up.png", "up.png"), ("/etc/cron.d/up.png", "up.png"), ("..\\..\\up.PNG", "up.png"),
    ("a\0b\n.png", "a_b_.png"), ("con.png", "_con.png"),
    ("<script>alert(1)<script>.svg", "_script_alert_1__script_.svg"),
    ("x" * 500 + ".jpg", "x" * 80 + ".jpg"), ("\u202egnp.exe.png", "_gnp.exe.png")])
def test_a_stranger_s_name_becomes_a_plain_one(asked: str, kept: str) -> None:
    assert plain_name(asked) == kept


@pytest.mark.parametrize("name", ["job.toml", "x.exe", "x", ".png/..", "x.png.html", ""])
def test_files_of_no_use_to_a_job_are_refused_by_their_names(name: str) -> None:
    with pytest.raises(InputProblem, match="a picture"):
        plain_name(name)


def test_a_picture_is_kept_in_the_job_s_folder_and_nowhere_else(served: Served) -> None:
    assert served.job
    folder, above = served.job.parent, served.job.parent.parent
    before = names_in(above)
    status, told = hand_over(served, "../../../over.png", PICTURE)
    assert (status, told["name"], told["px"]) == (200, "over.png", [60, 40])
    assert names_in(above) - before == {f"{folder.name}/over.png"}
    status, told = hand_over(served, "photo.png", PICTURE)  # never over what is there
    assert told["name"] == "photo-2.png"
    assert (folder / "photo.png").read_bytes() != PICTURE


def test_a_link_in_the_way_is_not_followed(served: Served, tmp_path: Path) -> None:
    assert served.job
    precious = tmp_path / "precious.png"
    precious.write_bytes(b"precious")
    (served.job.parent / "way.png").symlink_to(precious)
    _, told = hand_over(served, "way.png", PICTURE)
    assert told["name"] == "way-2.png"
    assert precious.read_bytes() == b"precious"


@pytest.mark.parametrize(("name", "body"), [
    ("a.png", b""), ("b.png", b"<html>"), ("c.jpg", PICTURE[:30]), ("d.svg", b"<svg"),
    ("e.svg", ENTITY), ("f.dxf", b"0\nSECTION\n"), ("g.csv", b"1,2\n"), ("h.ttf", b"\0\1\0\0")])
def test_what_is_not_what_it_claims_leaves_nothing(served: Served, name: str, body: bytes) -> None:
    assert served.job
    before = names_in(served.job.parent)
    status, told = hand_over(served, name, body)
    if name == "e.svg":  # drawn without what it asks for from elsewhere, or refused
        assert "root:" not in json.dumps(told)
        return
    assert status == 422
    assert str(told["sentence"]).startswith(name)
    assert names_in(served.job.parent) == before


def _entered(path: Path, change: Callable[[pikepdf.Pdf], None], **how: object) -> bytes:
    return changed(write_pdf(path / "a.pdf", halves), change, **how).read_bytes()


def _bomb(pdf: pikepdf.Pdf) -> None:
    packed = zlib.compress(zlib.compress(b"0 0 m\n" * 80_000_000, 9), 9)
    pdf.pages[0].obj.Contents = pikepdf.Stream(pdf, packed, Filter=[
        pikepdf.Name.FlateDecode, pikepdf.Name.FlateDecode])


def test_hostile_pdfs_leave_nothing(served: Served, tmp_path: Path) -> None:
    assert served.job
    served.ask("/api/picture?ppi=25")  # what the first look takes is taken
    before, held = names_in(served.job.parent), served.memory_mib()
    for body in (b"", b"%PDF-1.7\n", PICTURE, _entered(tmp_path, lambda _: None)[:900],
                 _entered(tmp_path, _bomb), _entered(tmp_path, lambda _: None,
                 encryption=pikepdf.Encryption(user="", owner="b"))):
        status, told = hand_over(served, "a.pdf", body)
        assert status == 422, told
        assert str(told["sentence"]).startswith("a.pdf: found ")
    assert names_in(served.job.parent) == before
    assert served.memory_mib() < held + 300


def test_a_pdf_s_scripts_and_links_are_told_and_not_run(served: Served, tmp_path: Path) -> None:
    def lively(pdf: pikepdf.Pdf) -> None:
        pdf.Root.OpenAction = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS="app.alert(1)")

    status, told = hand_over(served, "<b>.pdf", _entered(tmp_path, lively))
    assert status == 200
    assert (told["kind"], told["name"], told["pages"]) == ("page", "_b_.pdf", 1)
    assert "none of them is run" in str(told["remarks"])


@pytest.mark.parametrize("asked", [
    {}, {"name": "../marsh.toml"}, {"name": "photo.png"}, {"name": "a.pdf", "page": 0},
    {"name": "a.pdf", "page": 7}, {"name": "a.pdf", "page": True}, {"name": "a.pdf", "page": "1"},
    {"name": "a.pdf", "page": 1e9}, {"name": "a.pdf", "box": "../x"}, {"name": "a.pdf", "box": 5}])
def test_pages_that_were_not_handed_over_are_refused(beginning: Served,
                                                     asked: dict[str, object]) -> None:
    status, _, said = beginning.ask("/api/page", asked)
    assert status == 422
    assert json.loads(said)["sentence"].endswith(" would do.")


@pytest.mark.parametrize("wanted", ["../../up", "/etc", "a/b\\c", "..", "<b>x</b>", "\0", ""])
def test_a_new_job_s_folder_is_named_plainly(wanted: str) -> None:
    name = folder_name(wanted)
    assert name
    assert not set(name) & set('/\\.<>"\0')
