"""PDFs of all kinds opened: what is told, what is refused, and that none floods the memory."""

from __future__ import annotations

import time
import zlib
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest

from preflight.files.pdf_file import open_page
from preflight.input_problem import InputProblem
from tests.pdf_pages import changed, halves, write_pdf


def refusal(path: Path, number: int | None = None) -> str:
    with pytest.raises(InputProblem) as caught:
        open_page(path, number)
    return caught.value.sentence.replace(f"{path.parent}/", "")


def test_which_page_is_said(tmp_path: Path) -> None:
    path = write_pdf(tmp_path / "a.pdf", halves, halves, halves)
    assert refusal(path) == ("a.pdf: found 3 pages and no 'page' in the job; page = 1, up to 3 "
                             "would do.")
    assert refusal(path, 4) == "a.pdf: found no page 4 among 3; a page from 1 to 3 would do."
    page = open_page(path, 2)
    assert page.remarks[0] == "Page 2 of 3 is read to its crop box, 299.9 × 80.4 mm."


def _boxed(path: Path) -> Path:
    """A page with four of the five boxes, its crop box larger than its medium at the left."""
    def boxes(pdf: pikepdf.Pdf) -> None:
        page = pdf.pages[0].obj
        page.CropBox, page.BleedBox = [-50, 10, 840, 220], [20, 20, 830, 210]
        page.TrimBox = [30, 128, 820, 200]

    return changed(write_pdf(path, halves), boxes)


def test_a_page_is_read_to_the_box_that_is_asked_for(tmp_path: Path) -> None:
    """ISO 32000-1, 14.11.2: a box that a page lacks is its crop box; all end at the media box."""
    path = _boxed(tmp_path / "a.pdf")
    boxes = {name: open_page(path, None, boundary=name) for name in (
        "crop box", "media box", "bleed box", "trim box", "art box")}
    assert {name: page.box for name, page in boxes.items()} == {
        "crop box": (0, 10, 840, 220), "media box": (0, 0, 850, 228),
        "bleed box": (20, 20, 830, 210), "trim box": (30, 128, 820, 200),
        "art box": (0, 10, 840, 220)}
    assert boxes["trim box"].remarks[0] == "Its page is read to its trim box, 278.7 × 25.4 mm."


def _encrypted(path: Path, user: str) -> Path:
    return changed(path, lambda _: None, encryption=pikepdf.Encryption(user=user, owner="b"))


def test_encrypted_files_are_refused(tmp_path: Path) -> None:
    for user in ("a", ""):
        path = _encrypted(write_pdf(tmp_path / "a.pdf", halves), user)
        assert "found an encrypted PDF" in refusal(path)


def test_what_would_print_otherwise_is_told(tmp_path: Path) -> None:
    def lively(pdf: pikepdf.Pdf) -> None:
        page = pdf.pages[0].obj
        pdf.Root.OpenAction = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS="app.alert(1)")
        page.Annots = [pikepdf.Dictionary(Subtype=pikepdf.Name.Text, Rect=[0, 0, 9, 9])]
        page.UserUnit = 2
        page.Resources.ExtGState = pikepdf.Dictionary(
            a=pikepdf.Dictionary(OP=True), b=pikepdf.Dictionary(BM=pikepdf.Name.Multiply))
        page.Resources.Properties = pikepdf.Dictionary(
            l=pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name="l"))
        page.Resources.ColorSpace = pikepdf.Dictionary(c=pikepdf.Array([
            pikepdf.Name.Indexed, pikepdf.Name.DeviceCMYK, 1, b"12345678"]))

    told = " ".join(open_page(changed(write_pdf(tmp_path / "a.pdf", halves), lively),
                              None).remarks)
    for words in ("none of them is run", "Annotations", "unit is 2 points", "Transparency",
                  "overprint", "layers", "CMYK"):
        assert words in told
    assert len(open_page(write_pdf(tmp_path / "b.pdf", halves), None).remarks) == 1


def _many_forms(pdf: pikepdf.Pdf) -> None:
    """Twenty levels of forms, each of which draws the next ten times."""
    below = pdf.make_stream(b"0 0 1 1 re f " * 10)
    below.Subtype, below.BBox = pikepdf.Name.Form, [0, 0, 9, 9]
    for _ in range(20):
        form = pdf.make_stream(b"/x Do " * 10)
        form.Subtype, form.BBox = pikepdf.Name.Form, [0, 0, 9, 9]
        form.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(x=below))
        below = form
    _draws(pdf, below)


def _draws(pdf: pikepdf.Pdf, form: pikepdf.Object) -> None:
    page = pdf.pages[0].obj
    page.Resources.XObject = pikepdf.Dictionary(x=form)
    page.Contents = pdf.make_stream(b"/x Do")


def _round(pdf: pikepdf.Pdf) -> None:
    form = pdf.make_stream(b"/x Do")
    form.Subtype, form.BBox = pikepdf.Name.Form, [0, 0, 9, 9]
    form.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(x=form))
    _draws(pdf, form)


def _bomb(pdf: pikepdf.Pdf) -> None:
    packer = zlib.compressobj(9)
    packed = b"".join(packer.compress(b"0 0 m " * 2**20) for _ in range(60)) + packer.flush()
    pdf.pages[0].obj.Contents = pikepdf.Stream(pdf, packed, Filter=pikepdf.Name.FlateDecode)


def _twice_coded(pdf: pikepdf.Pdf) -> None:
    packed = zlib.compress(zlib.compress(b"\0" * 250_000_000, 9), 9)
    stream = pikepdf.Stream(pdf, packed)
    stream.Filter = [pikepdf.Name.FlateDecode, pikepdf.Name.FlateDecode]
    pdf.pages[0].obj.Contents = stream


def _vast_picture(pdf: pikepdf.Pdf) -> None:
    picture = pdf.make_stream(b"\0")
    picture.Subtype, picture.Width, picture.Height = pikepdf.Name.Image, 100_000, 100_000
    picture.ColorSpace, picture.BitsPerComponent = pikepdf.Name.DeviceGray, 8
    _draws(pdf, picture)


def _no_room(pdf: pikepdf.Pdf) -> None:
    pdf.pages[0].obj.MediaBox = [0, 0, 1e9, 1]


def _senseless(pdf: pikepdf.Pdf) -> None:
    pdf.pages[0].obj.Resources = pikepdf.Dictionary(ExtGState=pikepdf.Dictionary(
        a=pikepdf.Dictionary(ca=pikepdf.Name.a)))


@pytest.mark.parametrize(("change", "found"), [
    (_many_forms, "contents of more than 200 MB"), (_bomb, "contents of more than 200 MB"),
    (_twice_coded, "contents of more than 200 MB"), (_round, "forms that contain themselves"),
    (_vast_picture, "pictures of more than 600 megapixels"), (_no_room, "a page of"),
    (_senseless, "a damaged PDF")], ids=lambda value: getattr(value, "__name__", ""))
def test_floods_and_nonsense_are_refused_at_once(
    tmp_path: Path, change: Callable[[pikepdf.Pdf], None], found: str
) -> None:
    path = changed(write_pdf(tmp_path / "a.pdf", halves), change,
                   compress_streams=False, stream_decode_level=pikepdf.StreamDecodeLevel.none)
    began = time.process_time()
    assert found in refusal(path)
    assert time.process_time() - began < 10


def test_damaged_and_other_files_are_refused(tmp_path: Path) -> None:
    whole = write_pdf(tmp_path / "a.pdf", halves).read_bytes()
    for data, found in ((whole[:len(whole) // 2], "a damaged PDF"), (b"", "other than a PDF"),
                        (b"%PDF-1.4\n", "a damaged PDF"), (b"\x89PNG", "other than a PDF"),
                        (whole.replace(b"/Pages", b"/Oages"), "a damaged PDF")):
        (tmp_path / "a.pdf").write_bytes(data)
        assert found in refusal(tmp_path / "a.pdf"), data[:20]
