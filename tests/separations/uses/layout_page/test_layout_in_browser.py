"""The layout page under real hands: what each does is read from the saved job file."""

from __future__ import annotations

import base64
import json
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pikepdf
import pytest
from numpy.typing import NDArray
from reportlab.pdfgen.canvas import Canvas

from preflight.job_file.job_reader import read_job
from separations.pipeline.calls import quick_session
from separations.pipeline.picture_stages import PROOF
from separations.pipeline.stages import PHOTOS_PLACED
from tests.pdf_pages import changed, halves, write_pdf
from tests.separations.uses.layout_page.conftest import Serve, Served
from tests.separations.uses.layout_page.seen_page import SeenPage
from tests.small_art import SMALL_JOB, write_small_job

PLACED = ("[separation]", """
[[note]]
text = "Weir"
at = ["60 mm", "12 mm"]
label_offset = ["14 mm", "12 mm"]
ink = "Black"
[inserts]
pattern = "4x2"
stance = "14 cm"
holes_in_row = 2
binding_disc = "50 mm"
[[keep_out]]
name = "badge"
at = ["-100 mm", "0 mm"]
diameter = "12 mm"
[[important]]
name = "sluice"
at = ["105 mm", "0 mm"]
diameter = "14 mm"
[separation]""")
SVG = ('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 30" width="60mm" height="30mm">'
       '<path d="M2 28 L50 2" stroke="black" stroke-width="2" fill="none"/></svg>')
#: A place on the small board where no line, note or fitting is.
BARE = (-30.0, 20.0)


@pytest.fixture(scope="module")
def served(serve: Serve, tmp_path_factory: pytest.TempPathFactory) -> Served:
    path = write_small_job(tmp_path_factory.mktemp("browser") / "job", PLACED)
    (path.parent / "drawing.svg").write_text(SVG, encoding="utf-8")
    return serve(path)


@pytest.fixture
def page(driver: Any, served: Served) -> Iterator[SeenPage]:
    """The page open on the job as it was at first; nothing to complain of afterwards."""
    assert served.job
    text = SMALL_JOB.replace(*PLACED)
    driver.get("about:blank")  # no page edits meanwhile
    served.told("/api/settle", {"choice": "mine"})
    served.told("/api/save", {})
    served.job.write_text(text, encoding="utf-8")
    assert served.told("/api/save", {})["document"] == tomllib.loads(text) | {
        "date": tomllib.loads(text)["date"].isoformat()}
    driver.get_log("browser")
    seen = SeenPage(driver, served).open().ready()
    yield seen
    assert seen.complaints() == []


def mm(written: str) -> float:
    number, unit = written.split()
    return float(number) * {"mm": 1, "cm": 10}[unit]


def apart(one: NDArray[np.uint8], other: NDArray[np.uint8]) -> float:
    """How far two pictures of a window lie apart, in levels, on average."""
    return float(np.abs(one.astype(int) - other).mean())


def test_a_drag_of_fifty_millimetres_moves_the_photo_by_fifty(page: SeenPage) -> None:
    page.drag_on_board(BARE, (50, 0))
    art = page.saved()["art"][0]
    assert mm(art["offset_along"]) == pytest.approx(50.0, abs=0.3)
    assert mm(art.get("offset_across", "0 mm")) == pytest.approx(0.0, abs=0.3)
    page.drag_on_board((-30.0, 20.0), (-20, -30))
    art = page.saved()["art"][0]
    assert mm(art["offset_along"]) == pytest.approx(30.0, abs=0.5)
    assert mm(art["offset_across"]) == pytest.approx(-30.0, abs=0.3)


def test_notes_and_lines_go_along_when_asked_and_the_sentence_follows_undo(
        page: SeenPage) -> None:
    first = page.saved()["note"][0]
    page.take("photo.png")
    page.drag_on_board(BARE, (8, -3))
    page.shows("#moving", "8 mm towards the nose, 3 mm to the right (here below)")
    assert page.saved()["note"][0] == first
    page.press("Undo")
    page.ready()
    page.shows("#moving", "0 mm towards the nose, 0 mm to the left")
    page.click("[data-key='y take along']")
    page.drag_on_board(BARE, (8, -3))
    job = page.saved()
    assert mm(job["art"][0]["offset_along"]) == pytest.approx(8, abs=0.3)
    step = [mm(now) - mm(was) for now, was in zip(job["note"][0]["at"], first["at"], strict=True)]
    assert step == pytest.approx([mm(job["art"][0]["offset_along"]),
                                  mm(job["art"][0]["offset_across"])], abs=0.02)
    assert job["note"][0]["label_offset"] == first["label_offset"]
    page.click("[data-key='y take along']")
    page.press("Undo")
    page.ready()
    assert page.saved()["note"][0] == first


def test_where_the_browser_lays_the_photo_the_server_lays_it_too(page: SeenPage) -> None:
    for edits in ({"turn": 33.5, "offset_along": "12 mm"}, {"flip": "along", "turn": 90},
                  {"place": "fit", "flip": "across"}, {"place": "scale", "width": "31 cm"}):
        page.served.edit(*({"set": ["art", 0, key], "to": value} for key, value in edits.items()))
        page.until(lambda: page.script(
            "return import('./store.js').then(({known}) => known.job.revision)")
            == page.served.told()["revision"], "the newest text")
        mine, theirs = page.script(
            "return Promise.all([import('./outlines.js'), import('./placing.js'),"
            " import('./store.js')]).then(([o, p, s]) => [p.matrixOf(o.artPlaced({table: 'art',"
            " at: 0})), s.known.job.scene.art[0].matrix])")
        assert np.allclose(mine, theirs, atol=1e-6), edits


@pytest.mark.long
def test_near_the_end_of_the_bleed_the_photo_stops_softly_and_its_range_is_drawn(
        page: SeenPage) -> None:
    page.take("photo.png")
    page.press("+")
    for _ in range(9):
        page.click("[aria-label='Make it 1 % larger']")
    page.ready()
    page.until(lambda: page.all("polygon.range:not(.bare)"), "polygon.range:not(.bare)")
    slack = page.script(
        "return Promise.all([import('./outlines.js'), import('./placing.js'),"
        " import('./store.js')]).then(([o, p, s]) => p.rangeOf(o.artPlaced({table: 'art', at: 0}),"
        " s.known.job.scene.board.hull, 0))")
    along = slack["u"] if abs(slack["u"][1]) > 0.1 else slack["v"]
    scale = page.script("return import('./bench.js').then(({view}) => view.scale)")
    beyond = along[1] + 5 / scale  # five pixels too far: held at the end
    page.drag_on_board(BARE, (beyond, 0))
    assert mm(page.saved()["art"][0]["offset_along"]) == pytest.approx(along[1], abs=0.06)
    page.press("Undo")
    page.ready()
    page.drag_on_board(BARE, (along[1] + 30 / scale, 0))  # a firm pull goes on
    assert mm(page.saved()["art"][0]["offset_along"]) == pytest.approx(
        along[1] + 30 / scale, abs=0.3)
    page.until(lambda: page.all("polygon.range.bare"), "polygon.range.bare")
    page.shows("#things", "does not cover the bleed")


def test_corner_wheel_and_turn_grip_scale_and_turn(page: SeenPage) -> None:
    page.take("photo.png")
    grip = page.box("[data-key='g corner 1']")
    at = (grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] / 2)
    middle = page.at((0, 0))
    out = (at[0] + (at[0] - middle[0]) * 0.02, at[1] + (at[1] - middle[1]) * 0.02)
    assert page.served.job
    before = 25.4 / quick_session(page.served.job).of(PHOTOS_PLACED)[0].placed.ppi * 1240
    page.drag(at, out)
    art = page.saved()["art"][0]
    assert art["place"] == "scale"
    assert mm(art["width"]) == pytest.approx(before * 1.02, rel=0.004)
    page.mouse("mouseWheel", page.at(BARE), deltaX=0, deltaY=-100)
    page.until(lambda: page.find("#file").text.count("not saved"), "an edit")
    assert mm(page.saved()["art"][0]["width"]) > mm(art["width"]) * 1.1
    page.press("Undo")
    page.ready()
    grip = page.box("[data-key='g turn ']")
    at = (grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] / 2)
    page.drag(at, (at[0] - 40, at[1]))  # to the left of the top: anticlockwise
    turn = page.saved()["art"][0]["turn"]
    arm = middle[1] - at[1]
    assert turn - 90 == pytest.approx(np.degrees(np.arctan2(40, arm)), abs=0.6)


def test_figures_choices_and_steps_are_edits_in_the_job_s_own_units(page: SeenPage) -> None:
    page.take("photo.png")
    page.type_in("[data-key='f offset along']", "1.5 cm")
    page.type_in("[data-key='f offset across']", "3")
    assert page.saved()["art"][0]["offset_across"] == "3 mm"  # in the unit that stood there
    page.type_in("[data-key='f offset across']", "0 mm")
    page.type_in("[data-key='f turn']", "92.5")
    page.choose("[data-key='c flip']", "across")
    page.ready()
    for sign in ("Move it 1 mm right", "Move it 1 mm up", "Turn it 1° anticlockwise"):
        page.click(f"[aria-label='{sign}']")
        page.ready()
    art = page.saved()["art"][0]
    assert art["offset_along"] == "1.6 cm"
    assert art["offset_across"] == "1 mm"
    assert art["flip"] == "across"
    assert art["turn"] == 91.5  # mirrored: seen anticlockwise
    page.type_in("[data-key='f offset along']", "soon")
    page.shows("#telling", "offset_along: found 'soon'")
    assert page.saved()["art"][0]["offset_along"] == "1.6 cm"
    page.press("Close")
    page.click("[data-key='y fill edges']")
    page.ready()
    assert page.saved()["art"][0]["fill_edges"] is True
    # What the test did on purpose may be complained of; nothing else.
    assert [one for one in page.complaints() if "422" not in one] == []


@pytest.mark.long
def test_the_artist_s_hand_on_a_photo_is_typed_and_seen(page: SeenPage) -> None:
    page.take("photo.png")
    dark = page.picture().astype(int).mean()
    for key, typed in (("exposure", "1"), ("contrast", "-0.25"), ("saturation", "1.4"),
                       ("curve", "25 to 18, 75 to 84"), ("grey", "0.6, 0.3, 0.1")):
        page.type_in(f"[data-key='f {key}']", typed)
    art = page.saved()["art"][0]
    assert (art["exposure"], art["contrast"], art["saturation"]) == (1, -0.25, 1.4)
    assert (art["curve"], art["grey"]) == ([[25, 18], [75, 84]], [0.6, 0.3, 0.1])
    assert page.picture().astype(int).mean() > dark + 3
    for key, plain in (("exposure", "0"), ("contrast", "0"), ("saturation", "1"),
                       ("curve", "none"), ("grey", "none")):
        page.type_in(f"[data-key='f {key}']", plain)
    hand = {"exposure", "contrast", "saturation", "curve", "grey"}
    assert not hand & page.saved()["art"][0].keys()


def test_the_keyboard_alone_chooses_moves_turns_takes_back_and_saves(page: SeenPage) -> None:
    from selenium.webdriver.common.keys import Keys

    page.focus("[data-key=\"t art 0\"]")
    page.keys(Keys.ENTER)
    page.until(lambda: page.script("return document.activeElement.dataset.key || ''")
               == "g all ", "the photo's grip")
    page.keys(*[Keys.ARROW_RIGHT] * 3, Keys.ARROW_UP)
    page.ready()
    page.keys(Keys.SHIFT, Keys.ARROW_RIGHT, Keys.ARROW_RIGHT)
    page.ready()
    page.keys("]")
    page.ready()
    page.keys(Keys.CONTROL, "s")
    art = page.saved()["art"][0]
    assert art["offset_along"] == "3.2 mm"
    assert art["offset_across"] == "1 mm"
    assert art["turn"] == 89
    page.keys(Keys.CONTROL, "z")
    page.ready()
    assert page.saved()["art"][0]["turn"] == 90


@pytest.mark.long
def test_everything_can_be_reached_by_tab_and_says_what_it_is(page: SeenPage) -> None:
    from selenium.webdriver.common.keys import Keys

    page.take("photo.png")
    page.press("Loupe")
    page.script("window.scrollTo(0, 0); document.querySelector('.skip').focus()")
    reached = ["Skip to what lies on the board"]
    for _ in range(140):
        page.keys(Keys.TAB)
        if page.script("return document.activeElement === document.body"):
            break  # once round
        name, shown, hidden = page.script("""
          const e = document.activeElement, s = getComputedStyle(e), b = e.getBoundingClientRect();
          const over = document.elementFromPoint(b.x + b.width / 2, b.y + b.height / 2);
          return [(e.getAttribute('aria-label') || e.labels?.[0]?.innerText || e.innerText || '')
            .trim(), s.outlineStyle !== 'none' || !!e.closest('svg'),
            e !== document.body && !!over && !e.contains(over) && !over.contains(e)
            && !!over.closest('#bench') && !e.closest('#bench')];""")
        if reached and name == reached[0]:
            break
        assert name, page.script("return document.activeElement.outerHTML")
        assert shown, name
        assert not hidden, name  # 2.4.11: not hidden beneath the bench
        reached.append(name)
    text = "\n".join(reached)
    for part in ("Skip to", "Undo" if "Undo" in text else "Loupe", "Take up the note", "Nearer",
                 "arrow keys move it", "Photo photo.png", "offset along", "Hold to see",
                 "Yellow on the picture", "renderings", "Make films", "Loupe on the films"):
        assert part in text, part


@pytest.mark.long
def test_several_pictures_their_order_ink_and_knock_out(page: SeenPage) -> None:
    assert page.served.job
    upload = page.find("#things input[type=file]")
    upload.send_keys(str(page.served.job.parent / "drawing.svg"))
    page.until(lambda: "drawing" in page.script(
        "return document.getElementById('things').innerText"), "the drawing")
    page.ready()
    art = page.saved()["art"]
    assert art[2]["kind"] == "line"
    assert art[2]["ink"] == "Black"
    assert (page.served.job.parent / art[2]["file"]).read_text(encoding="utf-8") == SVG
    page.choose("[data-key='c ink']", "Magenta")
    page.ready()
    page.choose("[data-key='c beneath']", "overprint")
    page.ready()
    page.press("Lay it lower")
    page.ready()
    art = page.saved()["art"]
    assert [one["file"].split(".")[-1] for one in art] == ["png", "svg", "png"]
    assert (art[1]["ink"], art[1]["beneath"]) == ("Magenta", "overprint")
    page.drag_on_board((0.0, 0.0), (20, 10))
    assert mm(page.saved()["art"][1]["offset_along"]) == pytest.approx(20, abs=0.3)
    page.press("Take it off")
    page.ready()
    assert len(page.saved()["art"]) == 2
    upload = page.find("#things input[type=file]")
    upload.send_keys(str(page.served.job.parent / "photo.png"))
    page.until(lambda: len(page.served.told()["document"]["art"]) == 3, "a second photo")
    added = page.saved()["art"][2]
    assert added["kind"] == "photo"
    assert added["file"] == "photo-2.png"
    assert added["turn"] == 90


def test_a_side_is_cropped_by_hand_and_the_rest_stays_where_it_is(page: SeenPage) -> None:
    page.take("photo.png")
    page.press("Crop by hand")
    page.until(lambda: len(page.all(".grip.side")) == 4, "the sides")
    matrix = ("return import('./store.js').then(({known}) => known.job.scene.art[0].matrix)")
    before, scale = page.script(matrix), page.script(
        "return import('./bench.js').then(({view}) => view.scale)")
    pixel_mm = float(np.hypot(before[0], before[1]))
    for side, key, step, px in (("3", "crop_left", (40, 0), 1240), ("0", "crop_top", (0, 12), 360)):
        grip = page.box(f"[data-key='g side {side}']")
        at = (grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] / 2)
        page.drag(at, (at[0] + step[0], at[1] + step[1]))
        art = page.saved()["art"][0]
        wanted = 100 * max(step) / scale / pixel_mm / px
        assert float(art[key].removesuffix(" %")) == pytest.approx(wanted, abs=0.15)
    assert art["place"] == "scale"
    after = page.script(matrix)
    assert np.allclose(before[:4], after[:4], rtol=2e-4)
    columns, rows = (round(size * float(art[key].removesuffix(" %")) / 100) for size, key in (
        (1240, "crop_left"), (360, "crop_top")))
    corner = [before[n] * columns + before[n + 2] * rows + before[n + 4] for n in (0, 1)]
    assert np.allclose(after[4:], corner, atol=0.15)
    assert page.served.job
    placed = quick_session(page.served.job).of(PHOTOS_PLACED)[0]
    assert placed.artwork.width_px == 1240 - columns
    page.press("Crop by hand")
    page.until(lambda: page.all(".grip.corner"), ".grip.corner")
    page.type_in("[data-key='f crop left']", "0 %")
    page.type_in("[data-key='f crop bottom']", "12.5 %")
    art = page.saved()["art"][0]
    assert "crop_left" not in art
    assert art["crop_bottom"] == "12.5 %"


def test_a_drawing_is_dropped_on_the_page(page: SeenPage) -> None:
    assert page.served.job
    dropped(page, page.served.job.parent / "drawing.svg", page.at((30.0, 20.0)))
    page.until(lambda: len(page.served.told()["document"]["art"]) == 3, "the drawing")
    art = page.saved()["art"]
    assert (art[2]["kind"], art[2]["ink"]) == ("line", "Black")
    assert art[2]["file"].endswith(".svg")
    assert art[2]["width"] == "60 mm"  # its own size, where it was dropped
    assert mm(art[2]["offset_along"]) == pytest.approx(30, abs=0.3)


def dropped(page: SeenPage, path: Path, at: tuple[float, float]) -> None:
    """Drop a file, by events of the page: a drag that comes from outside can hang Chromium."""
    page.script("""
      const [name, coded, x, y] = arguments;
      const held = new DataTransfer();
      held.items.add(new File([Uint8Array.from(atob(coded), (c) => c.charCodeAt(0))], name));
      for (const kind of ['dragenter', 'dragover', 'drop']) {
        document.elementFromPoint(x, y).dispatchEvent(new DragEvent(kind, {bubbles: true,
          cancelable: true, clientX: x, clientY: y, dataTransfer: held}));
      }""", path.name, base64.b64encode(path.read_bytes()).decode(), *at)


def _boxed(pdf: pikepdf.Pdf) -> None:
    pdf.pages[1].obj.TrimBox = [85, 0, 765, 228]


@pytest.mark.long
def test_a_pdf_is_dropped_and_its_page_box_and_kind_are_chosen(page: SeenPage,
                                                               tmp_path: Path) -> None:
    path = changed(write_pdf(tmp_path / "poster.pdf", lambda _: None, halves), _boxed)
    dropped(page, path, page.at(BARE))
    page.until(lambda: len(page.served.told()["document"]["art"]) == 3, "the page as art")
    assert page.saved()["art"][2] == {"file": "poster.pdf", "page": 1, "kind": "photo",
                                      "place": "fill", "turn": 90}
    page.shows("#things", "of 2 is read to its")
    page.shows("#things", "299.9 × 80.4 mm")
    page.type_in("[data-key='f page']", "2")
    page.choose("[data-key='c page box']", "trim box")
    page.shows("#things", "239.9 × 80.4 mm")
    page.ready()
    art = page.saved()["art"][2]
    assert (art["page"], art["page_box"]) == (2, "trim box")
    assert page.served.job
    placed = quick_session(page.served.job).of(PHOTOS_PLACED)[1]
    assert placed.artwork.width_px / placed.artwork.height_px == pytest.approx(680 / 228, rel=1e-2)
    page.choose("[data-key='c kind']", "flat")
    page.ready()
    page.type_in("[data-key='f tint']", "40 %")
    art = page.saved()["art"][2]
    assert (art["kind"], art["ink"], art["tint"]) == ("flat", "Black", "40 %")
    page.choose("[data-key='c kind']", "photo")
    page.ready()
    art = page.saved()["art"][2]
    assert art == {"file": "poster.pdf", "page": 2, "page_box": "trim box", "kind": "photo",
                   "place": "fill", "turn": 90}
    page.type_in("[data-key='f page']", "3")  # there is none
    page.shows("#moving", "It has pages 1 to 2.")
    page.until(lambda: page.find("[data-key='f page']").get_attribute("value") == "2", "page 2")
    assert page.saved()["art"][2]["page"] == 2


def test_a_pdf_of_lines_is_line_work_where_it_was_dropped(page: SeenPage, tmp_path: Path) -> None:
    def lines(canvas: Canvas) -> None:
        canvas.setLineWidth(3)
        canvas.line(20, 20, 250, 60)

    dropped(page, write_pdf(tmp_path / "run.pdf", lines, size=(283.46, 85.04)), page.at((40, 10)))
    page.until(lambda: len(page.served.told()["document"]["art"]) == 3, "the page as art")
    art = page.saved()["art"][2]
    assert (art["file"], art["kind"], art["ink"], art["width"]) == (
        "run.pdf", "line", "Black", "100 mm")
    assert mm(art["offset_along"]) == pytest.approx(40, abs=0.3)
    assert mm(art["offset_across"]) == pytest.approx(10, abs=0.3)
    page.shows("#things", "Its one page is read to its")
    page.drag_on_board((40, 10), (-15, 5))
    assert mm(page.saved()["art"][2]["offset_along"]) == pytest.approx(25, abs=0.4)


def test_the_picture_in_the_browser_is_the_proof_pixel_for_pixel(page: SeenPage) -> None:
    page.drag_on_board(BARE, (7, 2))
    page.saved()
    ppi, wide, high, png = page.script("""
      return import('./pictures.js').then(async ({shownOf}) => {
        const {bitmap, ppi} = shownOf('');
        const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
        canvas.getContext('2d').drawImage(bitmap, 0, 0); // a finer picture may close it from here
        const blob = await canvas.convertToBlob();
        const url = await new Promise((done) => { const reader = new FileReader();
          reader.onload = () => done(reader.result); reader.readAsDataURL(blob); });
        return [ppi, canvas.width, canvas.height, url.split(',')[1]]; });""")
    seen = np.asarray(cv2.imdecode(np.frombuffer(base64.b64decode(png), np.uint8),
                                   cv2.IMREAD_COLOR))
    assert page.served.job
    proof = quick_session(page.served.job, ppi).of(PROOF)
    assert proof.shape[:2] == (high, wide)
    assert np.array_equal(seen[:, :, ::-1], proof)


def test_saving_keeps_comments_and_order(page: SeenPage) -> None:
    assert page.served.job
    path = page.served.job
    commented = path.read_text(encoding="utf-8").replace(
        "turn = 90", "turn = 90  # its right end at the nose", 1).replace(
        "[halftone]", "# The shop's usual ruling.\n[halftone]")
    path.write_text(commented, encoding="utf-8")
    page.until(lambda: "elsewhere" in page.find("#telling").text, "the file's own text")
    page.ready()
    page.take("photo.png")
    page.type_in("[data-key='f turn']", "91")
    page.saved()
    assert path.read_text(encoding="utf-8") == commented.replace(
        "turn = 90  # its", "turn = 91  # its")


def test_a_note_is_written_and_dragged_in_place(page: SeenPage) -> None:
    from selenium.webdriver.common.keys import Keys

    page.press("Write a note")
    page.shows("#asking", "Tap the place")
    page.tap((-60, 15))
    page.until(lambda: page.script("return document.activeElement.dataset.key || ''")
               == "lettering", "the note's words")
    page.keys("Lark Bend", Keys.ENTER)
    page.ready()
    note = page.saved()["note"][1]
    assert note["text"] == "Lark Bend"
    assert [mm(part) for part in note["at"]] == pytest.approx([-60, 15], abs=0.3)
    label = [a + b for a, b in zip(map(mm, note["at"]), map(mm, note["label_offset"]),
                                   strict=True)]
    page.drag_on_board((label[0], label[1]), (20, -6))
    moved = page.saved()["note"][1]
    assert moved["at"] == note["at"]
    assert [mm(b) - mm(a) for a, b in zip(note["label_offset"], moved["label_offset"],
                                          strict=True)] == pytest.approx([20, -6], abs=0.3)
    page.drag_on_board((-60, 15), (-10, 0))
    after = page.saved()["note"][1]
    assert mm(after["at"][0]) == pytest.approx(-70, abs=0.4)
    assert [mm(a) + mm(b) for a, b in zip(after["at"], after["label_offset"], strict=True)
            ] == pytest.approx([label[0] + 20, label[1] - 6], abs=0.5)  # the words stay
    page.type_in("[data-key='f cap height']", "4 mm")
    page.type_in("[data-key='f leader']", "0.6 mm")
    page.choose("[data-key='c ink']", "Cyan")
    last = page.saved()["note"][1]
    assert (last["cap_height"], last["leader"], last["ink"]) == ("4 mm", "0.6 mm", "Cyan")


def test_by_keys_alone_notes_and_lines_are_put_typed_and_moved(page: SeenPage) -> None:
    from selenium.webdriver.common.keys import Keys

    scale = page.script("return import('./bench.js').then(({view}) => view.scale)")
    middle = page.script("return import('./bench.js').then(({view}) => view.middle)")
    page.focus("[data-key=\"Write a note\"]")
    page.keys(Keys.ENTER)
    page.until(lambda: page.script("return document.activeElement.id") == "table", "the bench")
    page.keys(*[Keys.ARROW_LEFT] * 4, *[Keys.ARROW_UP] * 2)
    page.shows("#moving", "The cross stands")
    page.keys(Keys.SHIFT, *[Keys.ARROW_UP] * 6)
    page.keys(Keys.SPACE)
    page.until(lambda: page.script("return document.activeElement.dataset.key || ''")
               == "lettering", "the note's words")
    page.keys("Heron\u2019s stand", Keys.ENTER)
    page.ready()
    note = page.saved()["note"][1]
    assert note["text"] == "Heron\u2019s stand"
    assert [mm(part) for part in note["at"]] == pytest.approx(
        [middle[0] - 48 / scale, middle[1] + 30 / scale], abs=0.2)
    page.focus("[data-key=\"Draw a line\"]")
    page.keys(Keys.ENTER)
    page.until(lambda: page.script("return document.activeElement.id") == "table", "the bench")
    page.keys(Keys.SPACE, *[Keys.ARROW_RIGHT] * 5, Keys.SPACE, *[Keys.ARROW_DOWN] * 3, Keys.SPACE,
              Keys.ENTER)
    page.ready()
    points = [[mm(p) for p in point] for point in page.saved()["line"][0]["points"]]
    assert np.allclose(points, [middle, [middle[0] + 60 / scale, middle[1]],
                                [middle[0] + 60 / scale, middle[1] - 36 / scale]], atol=0.2)
    page.focus("[data-key=\"g point 1\"]")
    page.keys(Keys.ENTER)  # its name is typed where it lies
    page.until(lambda: page.script("return document.activeElement.dataset.key || ''")
               == "lettering", "the line's name")
    page.keys("Dyke walk", Keys.ENTER)
    page.ready()
    assert page.saved()["line"][0]["name"] == "Dyke walk"
    page.focus("[data-key=\"g point 1\"]")
    page.keys(Keys.ENTER)
    page.until(lambda: page.script("return document.activeElement.dataset.key || ''")
               == "lettering", "the line's name")
    page.keys("else", Keys.ESCAPE)
    assert page.saved()["line"][0]["name"] == "Dyke walk"
    page.keys(Keys.ESCAPE)
    page.until(lambda: not page.all(".thing[aria-pressed=true]"), "nothing in the hand")


def test_keys_act_on_what_is_in_the_hand_where_the_focus_says_so(page: SeenPage) -> None:
    """Single letters do nothing elsewhere. Source: WCAG 2.2, 2.1.4."""
    from selenium.webdriver.common.keys import Keys

    page.take("photo.png")  # by the list, which keeps the focus
    page.keys(Keys.ARROW_RIGHT, Keys.ARROW_RIGHT)
    page.ready()
    page.keys("[")
    page.ready()
    art = page.saved()["art"][0]
    assert (art["offset_along"], art["turn"]) == ("2 mm", 91)
    page.click("[data-key='row ruling']")
    page.keys("[", "+", Keys.DELETE)
    assert page.saved()["art"][0] == art
    page.keys(Keys.ESCAPE)
    page.tap(BARE)  # takes the photo up: keys act on it, though nothing of it was focused
    page.until(lambda: page.script("return document.activeElement.id") == "table", "the bench")
    page.keys("]")
    page.ready()
    assert page.saved()["art"][0]["turn"] == 90
    page.ready()
    page.tap(BARE)
    page.until(lambda: page.script("return document.activeElement.id") == "table", "the bench")
    whole = page.picture()
    for kind in ("keyDown", "keyUp"):
        page.driver.execute_cdp_cmd("Input.dispatchKeyEvent", {"type": kind, "key": "p",
                                                               "code": "KeyP"})
        shown = kind == "keyDown"
        page.until(lambda: page.script(
            "return import('./store.js').then(({known}) => known.photo)") is shown, kind)  # noqa: B023
        page.until(lambda: (apart(page.picture(), whole) > 5) is shown, "its picture")  # noqa: B023
    page.click("summary[data-key=keys]")
    page.shows(".keys", "held, shows the photo itself")
    page.take("Weir")
    page.focus("[data-key=\"g label \"]")
    page.keys(Keys.DELETE)
    page.until(lambda: page.script("return document.activeElement.id") == "table", "the bench")
    assert "note" not in page.saved()


def test_words_are_typed_where_they_are_double_tapped(page: SeenPage) -> None:
    from selenium.webdriver.common.keys import Keys

    def is_typed_in() -> bool:
        """Whether the field is there; what moved the board just before makes a tap miss."""
        if page.script("return document.activeElement.dataset.key || ''") == "lettering":
            return True
        at = page.at((74, 24))
        for count in (1, 2):
            page.mouse("mousePressed", at, clickCount=count)
            page.mouse("mouseReleased", at, clickCount=count)
        page.script("return new Promise((done) => setTimeout(done, 500))")
        return False

    page.until(is_typed_in, "the note's words")
    page.keys("Old weir", Keys.TAB)
    page.ready()
    assert page.saved()["note"][0]["text"] == "Old weir"


def test_a_screen_reader_hears_what_everything_is(page: SeenPage) -> None:
    """Every part that acts has a role and a name: WCAG 2.2, 4.1.2, as the browser itself tells."""
    page.until(lambda: "passed" in page.find("#found").text, "findings")
    page.press("Loupe")
    page.choose("[data-key='c how']", "wipe")
    for words in ("Weir", "photo.png", "lines.png"):
        page.take(words)
        page.ready()
        nodes = page.driver.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
        acting = [node for node in nodes if not node["ignored"] and any(
            one["name"] == "focusable" and one["value"].get("value")
            for one in node.get("properties", [])) and node["role"]["value"] != "RootWebArea"]
        assert len(acting) > 40
        named = [(node["role"]["value"], node.get("name", {}).get("value", "").strip())
                 for node in acting]
        assert [one for one in named if not one[1]] == []
        assert [one for one in named if one[0] in ("generic", "none", "presentation")] == []
        heads = [node["name"]["value"] for node in nodes if not node["ignored"]
                 and node["role"]["value"] == "heading"]
        assert {"Marsh light", "On the board", "What was found", "Colour and ink", "Films",
                "Compare it with another"} <= set(heads)
        twice = {one for one in named if one[0] == "button" and named.count(one) > 1}
        assert not {name for _, name in twice} - {"Show the place"}, twice
    page.choose("[data-key='c how']", "none")


def test_a_line_is_drawn_by_taps_and_bent_named_dashed_and_pointed(page: SeenPage) -> None:
    from selenium.webdriver.common.keys import Keys

    page.press("Draw a line")
    places = [(-90, -10), (-50, 12), (0, -12), (40, 10)]
    for place in places:
        page.tap(place)
    page.keys(Keys.ENTER)
    page.until(lambda: page.served.told()["document"].get("line"), "the line")
    line = page.saved()["line"][0]
    assert np.allclose([[mm(p) for p in point] for point in line["points"]], places, atol=0.3)
    assert line["smooth"] is True
    page.drag_on_board((-50, 12), (5, 5))
    grip = page.box("[data-key='g between 2']")
    at = (grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] / 2)
    page.drag(at, at)
    points = page.saved()["line"][0]["points"]
    assert len(points) == 5
    assert [mm(p) for p in points[1]] == pytest.approx([-45, 17], abs=0.4)
    page.type_in("[data-key='line name']", "Dyke walk")
    page.type_in("[data-key='f dashes']", "6 mm, 3 mm")
    page.type_in("[data-key='f arrow']", "4 mm")
    page.type_in("[data-key='f width']", "1.2 mm")
    page.choose("[data-key='c smooth']", "false")
    page.ready()
    page.choose("[data-key='c name stands']", "on")
    line = page.saved()["line"][0]
    assert line["dashes"] == ["6 mm", "3 mm"]
    assert (line["name"], line["name_stands"]) == ("Dyke walk", "on")
    assert (line["arrow"], line["width"], line["smooth"]) == ("4 mm", "1.2 mm", False)
    page.focus("[data-key=\"g point 4\"]")
    page.keys(Keys.DELETE)
    page.ready()
    assert len(page.saved()["line"][0]["points"]) == 4
    page.press("Move it by taps")  # no drag: 2.5.7
    page.tap((0, -12))
    page.tap((0, -2))
    page.ready()
    assert mm(page.saved()["line"][0]["points"][0][1]) == pytest.approx(0, abs=0.4)
    page.press("Take it off")
    assert "line" not in page.saved()


def test_the_board_s_edges_fittings_and_places_are_drawn_to_scale(page: SeenPage) -> None:
    scale = page.script("return import('./bench.js').then(({view}) => view.scale)")
    for kind, wide, high in (("trim", 300, 80), ("bleed", 310, 90)):
        box = page.box(f"#over .edges .{kind}")
        assert box["width"] == pytest.approx(wide * scale, abs=3)
        assert box["height"] == pytest.approx(high * scale, abs=3)
    for kind, count in (("hole", 8), ("binding", 2), ("keep-out", 1), ("important", 1),
                        ("safe", 1)):
        page.until(lambda: len(page.all(f"#over .edges .{kind}")) == count, kind)  # noqa: B023
    page.click("summary[data-key=legend]")
    for meaning in ("the board's own edge", "end of the bleed", "safety margin", "a binding covers",
                    "an insert", "free of ink", "to be seen"):
        page.shows(".legend", meaning)
    words = page.find("#over").text
    assert {"badge", "sluice", "nose", "tail"} <= set(words.split())
    nose = page.at((150, 0))
    page.click("[aria-label='Nose to the left']")
    page.ready()
    assert page.at((150, 0))[0] < page.at((-150, 0))[0]
    page.click("[aria-label='Nose up']")
    page.ready()
    assert page.at((150, 0))[1] < page.at((-150, 0))[1] - 100
    assert abs(page.at((150, 0))[0] - page.at((-150, 0))[0]) < 1
    assert page.at((0, 20))[0] < page.at((0, -20))[0]  # +y to the left, never mirrored
    page.click("[aria-label='Nose to the right']")
    assert page.at((150, 0))[0] == pytest.approx(nose[0], abs=2)
    # The rest of the photo is seen outside of what is printed, fainter than on the board.
    page.served.edit({"set": ["art", 0, "place"], "to": "scale"},
                     {"set": ["art", 0, "width"], "to": "36 cm"})
    page.ready()
    picture, table = page.picture(), page.box("#table")
    at = page.at((0, 49))
    outside = picture[round(at[1] - table["y"]), round(at[0] - table["x"])].astype(int)
    assert abs(outside - np.array([0xdf, 0xe5, 0xe7])).sum() > 12


@pytest.mark.long
def test_inks_off_the_photo_itself_and_comparing(page: SeenPage) -> None:
    page.until(lambda: "passed" in page.find("#found").text, "all findings and their marks")
    page.ready()
    whole = page.picture()
    for n in range(4):
        page.click(f"[data-key='ink {n}']")
    page.ready()
    wood = page.picture()
    assert wood.astype(int).mean() > whole.astype(int).mean() + 5
    for n in range(4):
        page.click(f"[data-key='ink {n}']")
    page.ready()
    page.until(lambda: apart(page.picture(), whole) < 0.5, "all inks again", 30)
    held = page.box("[data-key='photo']")
    at = (held["x"] + 10, held["y"] + 10)
    page.mouse("mouseMoved", at, buttons=0, button="none")
    page.mouse("mousePressed", at)
    page.until(lambda: page.script(
        "return import('./store.js').then(({known}) => known.photo)"), "the photo")
    page.until(lambda: apart(page.picture(), whole) > 5, "the photo itself")
    pressed = page.script("return performance.now()")  # a short press would leave it on
    page.until(lambda: page.script("return performance.now()") > pressed + 400, "a long press")
    page.mouse("mouseReleased", at)
    page.until(lambda: apart(page.picture(), whole) < 0.5, "the board again")
    page.served.edit({"set": ["art", 0, "flip"], "to": "along"})
    page.ready()
    flipped = page.picture()
    page.choose("[data-key='c how']", "wipe")
    page.until(lambda: page.script(
        "return import('./pictures.js').then(({shownOf}) => !!shownOf('saved'))"), "the saved one")
    page.script("return new Promise((done) => requestAnimationFrame(() =>"
                " requestAnimationFrame(done)))")
    wiped, table = page.picture().astype(int), page.box("#table")
    x0, y0, x1, y1 = (round(v) for v in (*page.at((-120, 30)), *page.at((120, -30))))
    left, right = ((slice(y0 - round(table["y"]), y1 - round(table["y"])), part) for part in (
        slice(x0 - round(table["x"]), wiped.shape[1] // 2 - 20),
        slice(wiped.shape[1] // 2 + 20, x1 - round(table["x"]))))
    for part, same, other in ((left, flipped, whole), (right, whole, flipped)):
        assert np.abs(wiped[part] - same[part]).mean() < 2
        assert np.abs(wiped[part] - other[part].astype(int)).mean() > 5
    assert page.find("#halves").text.split("\n") == ["the job now", "the job as it is saved"]
    for nose in ("Nose up", "Nose to the right"):  # both boards are whole
        page.choose("[data-key='c how']", "beside")
        page.click(f"[aria-label='{nose}']")
        page.ready()
        high, wide, scale, nose_up = page.script(
            "return import('./bench.js').then(({view}) => [view.height, view.width, view.scale,"
            " view.nose === 'up'])")
        assert 90 * scale <= (wide if nose_up else high) / 2 - 20
        assert 310 * scale <= (high if nose_up else wide)
    page.choose("[data-key='c against']", "back:1")
    page.until(lambda: page.script(
        "return import('./pictures.js').then(({shownOf}) => !!shownOf('back:1'))"), "one step back")
    page.script("return new Promise((done) => requestAnimationFrame(() =>"
                " requestAnimationFrame(done)))")
    both = page.picture()[:-30]
    middle = both.shape[0] // 2
    assert np.abs(both[20:middle - 20].astype(int) - both[middle + 20:2 * middle - 20]).mean() > 3
    page.press("Stop comparing")
    page.until(lambda: not page.find("#halves").text, "one board alone")
    page.press("rulings")
    page.until(lambda: len(page.all(".small-board img[src]")) >= 3, "small boards")
    next(one for one in page.all(".small-board") if one.text.strip() == "40 lpi").click()
    page.ready()
    assert page.saved()["halftone"]["ruling"] == "40 lpi"


def test_the_loupe_s_pixels_are_the_film_s(page: SeenPage) -> None:
    page.press("Loupe")
    page.choose("[data-key='c how near']", "60 ×")
    page.until(lambda: page.script(
        "return import('./loupe.js').then(({seen}) => !!seen)"), "dots in the loupe", 120)
    page.script("return import('./loupe.js').then((l) => l.lookAt([20, -4], '60 ×'))")
    seen = page.script("return import('./loupe.js').then(({seen}) => ({row: seen.row, column:"
                       " seen.column, rows: seen.rows, columns: seen.columns, bits:"
                       " seen.bits.map((one) => [...one])}))")
    from separations.measuring.hold.film_windows import Window
    from separations.pipeline.picture_stages import FILM_WINDOWS
    from separations.pipeline.session import Session

    assert page.served.job
    window = Window(seen["row"], seen["row"] + seen["rows"], seen["column"],
                    seen["column"] + seen["columns"])
    for film, packed in zip(Session(page.served.job).of(FILM_WINDOWS), seen["bits"], strict=True):
        bits = np.unpackbits(np.array(packed, np.uint8).reshape(seen["rows"], -1), axis=1,
                             count=seen["columns"]).view(np.bool_)
        assert np.array_equal(bits, film.bits(window))
    before = page.picture(".lens")
    page.click("[data-key='y threads']")
    page.choose("[data-key='c which film']", "Magenta")
    page.until(lambda: apart(page.picture(".lens"), before) > 5, "the film under its threads")
    lens = page.box(".lens")
    at = (lens["x"] + lens["width"] / 2, lens["y"] + lens["height"] / 2)
    page.press_and_move(at, (at[0] + 60, at[1]))
    page.mouse("mouseReleased", (at[0] + 60, at[1]))
    page.until(lambda: abs(page.box(".lens")["x"] - lens["x"] - 60) <= 2, "the lens there")
    page.press("Take the loupe away")
    page.until(lambda: not page.all(".lens"), "the lens to go")


def test_findings_are_shown_led_to_and_mended(page: SeenPage) -> None:
    page.served.edit({"set": ["halftone", "ruling"], "to": "90 lpi"})
    page.until(lambda: page.all(".mends"), "a mend", 90)
    found = page.served.told("/api/findings")
    listed = [one for one in found["findings"] if one["grade"] != "clear"]
    page.until(lambda: len(page.all(".finding")) == len(listed), "all findings")
    text = page.find("#found").text
    assert all(one["says"] in text for one in listed)
    placed = page.find(".finding [data-key^='place']")
    scale = page.script("return import('./bench.js').then(({view}) => view.scale)")
    placed.click()
    page.until(lambda: page.all(".mark.shown"), "the place")
    assert page.script("return import('./bench.js').then(({view}) => view.scale)") > scale
    ruling = next(one for one in page.all(".mends") if "ruling" in one.text)
    wanted = ruling.text.rpartition("→ ")[2]
    ruling.click()
    page.ready()
    assert page.saved()["halftone"]["ruling"] == wanted
    page.press("Undo")
    page.ready()
    assert page.saved()["halftone"]["ruling"] == "90 lpi"


@pytest.mark.long
def test_films_are_made_followed_and_stopped(page: SeenPage) -> None:
    assert "g" in page.until(lambda: page.find("#inks tfoot").text, "the ink")
    page.served.edit({"set": ["film", "resolution"], "to": "4000 dpi"})  # long enough to stop
    page.press("Save and make films")
    page.until(lambda: page.all("#films progress"), "the progress")

    def is_stopping() -> bool:  # the sheet may move away from under a press
        if page.script("const e = document.querySelector('[data-key=stop]');"
                       " return e && !e.disabled"):
            page.click("[data-key=stop]")
        return "Stopping" in page.find("#films").text or "Stopped" in page.find("#films").text

    page.until(is_stopping, "a stop that is heard")
    page.until(lambda: "Stopped" in page.find("#films").text, "the end")
    assert page.served.job
    out = page.served.job.with_name("marsh-out")
    assert not out.exists()
    page.press("Undo")
    page.ready()
    page.saved()
    tick = page.all("[data-key='despite']")
    if tick:
        tick[0].click()
    page.press("Make films")
    page.until(lambda: page.all("#films .made a"), "what was made", 180)
    names = [one.text for one in page.all("#films .made a")]
    assert {"films/01-Yellow.pdf", "report.html", "ink.csv", "operator.pdf"} <= set(names)
    assert (out / "films" / "04-Black.pdf").read_bytes().startswith(b"%PDF")
    link = next(one for one in page.all("#films .made a") if one.text == "report.html")
    status, headers, body = page.served.ask(link.get_attribute("href").partition(
        str(page.served.port))[2], x_topsheet_token="", origin="")
    assert status == 200
    assert headers["content-security-policy"].startswith("sandbox")
    assert b"Marsh light" in body
    (out / "precious").symlink_to(page.served.job.parent)
    address = link.get_attribute("href").partition(str(page.served.port))[2]
    for bad in ("/made/x/report.html", *(address.replace("report.html", way) for way in (
            "../marsh.toml", "precious/marsh.toml", "precious"))):
        assert page.served.ask(bad, x_topsheet_token="", origin="")[0] == 404


def test_another_hand_s_change_and_mine_are_both_kept(page: SeenPage) -> None:
    assert page.served.job
    page.drag_on_board(BARE, (10, 0))
    path = page.served.job
    path.write_text(path.read_text(encoding="utf-8").replace("boards = 3", "boards = 5"),
                    encoding="utf-8")
    page.until(lambda: "was changed elsewhere" in page.find("#telling").text, "a word of it")
    page.press("Keep mine")
    page.ready()
    assert mm(page.saved()["art"][0]["offset_along"]) == pytest.approx(10, abs=0.3)
    assert page.saved()["boards"] == 3
    page.press("Undo")
    page.ready()
    assert page.saved()["boards"] == 5


def test_links_within_the_page_leave_its_key_in_the_address(page: SeenPage) -> None:
    for link in ("#acts a", ".skip"):
        page.script("document.querySelector(arguments[0]).click()", link)
        assert page.script("return location.hash") == f"#{page.served.token}"
    assert page.script("return document.activeElement.id") == "things"
    page.driver.refresh()
    page.ready()


def test_two_windows_show_the_same_job(page: SeenPage) -> None:
    first = page.driver.current_window_handle
    page.driver.switch_to.new_window("tab")
    try:
        other = SeenPage(page.driver, page.served).open().ready()
        other.drag_on_board(BARE, (15, 0))
        page.driver.switch_to.window(first)
        page.until(lambda: page.script(
            "return import('./store.js').then(({known}) => known.job.unsaved)"), "the other's edit")
        page.ready()
        page.drag_on_board(BARE, (0, 5))
        art = page.saved()["art"][0]
        assert mm(art["offset_along"]) == pytest.approx(15, abs=0.4)
        assert mm(art["offset_across"]) == pytest.approx(5, abs=0.4)
    finally:
        for handle in page.driver.window_handles:
            if handle != first:
                page.driver.switch_to.window(handle)
                page.driver.close()
        page.driver.switch_to.window(first)


def touches(page: SeenPage, kind: str, *places: tuple[float, float]) -> None:
    page.driver.execute_cdp_cmd("Input.dispatchTouchEvent", {
        "type": kind, "touchPoints": [{"x": x, "y": y, "id": n}
                                      for n, (x, y) in enumerate(places)]})


def test_by_touch_on_a_phone(page: SeenPage) -> None:
    page.open(390, 844, touch=True).ready()
    start, end = page.at(BARE), page.at((BARE[0] + 20, BARE[1]))
    touches(page, "touchStart", start)
    for share in (0.3, 0.6, 1.0):
        touches(page, "touchMove", (start[0] + (end[0] - start[0]) * share,
                                    start[1] + (end[1] - start[1]) * share))
    touches(page, "touchEnd")
    assert mm(page.saved()["art"][0]["offset_along"]) == pytest.approx(20, abs=0.5)
    a, b = page.at((20, 10)), page.at((60, 10))
    touches(page, "touchStart", a, b)
    for share in (1.05, 1.1, 1.2):
        middle = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
        touches(page, "touchMove", *((middle[0] + (p[0] - middle[0]) * share,
                                      middle[1] + (p[1] - middle[1]) * share) for p in (a, b)))
    touches(page, "touchEnd")
    page.ready()
    art = page.saved()["art"][0]
    assert art["place"] == "scale"
    assert page.served.job
    before = 25.4 / quick_session(page.served.job).of(PHOTOS_PLACED)[0].placed.ppi * 1240
    assert mm(art["width"]) == pytest.approx(before, rel=0.01)
    page.press("Write a note")
    touches(page, "touchStart", page.at((-60, 10)))
    touches(page, "touchEnd")
    page.until(lambda: len(page.served.told()["document"]["note"]) == 2, "the note")
    page.press("Undo")
    page.press("Undo")
    page.ready()


@pytest.mark.parametrize(("width", "height"), [(1440, 900), (1024, 768), (390, 844), (320, 640)])
def test_no_word_is_cut_and_every_target_is_large_enough(page: SeenPage, width: int,
                                                         height: int) -> None:
    """Source of 24 px: WCAG 2.2, 2.5.8 target size (minimum); of 320 px: 1.4.10 reflow."""
    page.open(width, height, touch=width < 500).ready()
    page.take("Weir")
    page.until(lambda: page.all(".finding") and "passed" in page.find("#found").text,
               "findings", 90)
    page.press("Loupe")
    cut, small, wide = page.script("""
      const cut = [], small = [];
      for (const e of document.querySelectorAll('button, a, input, select, summary, label, p, h1,'
          + ' h2, h3, th, td, li')) {
        const b = e.getBoundingClientRect(), s = getComputedStyle(e);
        if (!b.width || s.visibility === 'hidden' || e.closest('.unseen, .skip')) continue;
        if (e.scrollWidth > e.clientWidth + 1 && s.display !== 'inline' && !e.matches('input, td,'
            + ' select') && s.overflow !== 'visible') cut.push(e.outerHTML.slice(0, 120));
        if (b.right > document.documentElement.clientWidth + 1) cut.push('runs off: '
          + e.outerHTML.slice(0, 120));
        if (e.matches('input.figure, input[type=text]') && e.scrollWidth > e.clientWidth + 2)
          cut.push(e.outerHTML.slice(0, 120));
        if (e.matches('button, a, select, summary, input:not([type=checkbox]):not([type=radio])'
            + ', label.tick') && (b.width < 24 || b.height < 24)) small.push([e.outerHTML.slice(0,
            120), b.width, b.height]);
      }
      for (const e of document.querySelectorAll('.grip')) { const b = e.getBoundingClientRect();
        if (b.width < 24 || b.height < 24) small.push([e.outerHTML.slice(0, 90), b.width]); }
      return [cut, small, document.documentElement.scrollWidth];""")
    assert cut == []
    assert small == []
    assert wide <= width


@pytest.mark.parametrize(("width", "height"), [(1440, 900), (1024, 768), (390, 844)])
def test_what_takes_back_and_saves_is_reached_wherever_one_has_scrolled(
        page: SeenPage, width: int, height: int) -> None:
    page.open(width, height, touch=width < 500).ready()
    page.until(lambda: "passed" in page.find("#found").text, "findings")
    page.take("photo.png")
    if width > 500:
        page.click("[aria-label='Nose up']")
    for part in ("#title", "#things", "#found", "#films"):
        page.script("document.querySelector(arguments[0]).scrollIntoView()", part)
        beside = page.until(lambda: page.script("""
          const over = [...document.querySelectorAll('#acts button, #acts a')].map((e) => {
            const b = e.getBoundingClientRect(), [x, y] = [b.x + b.width / 2, b.y + b.height / 2];
            return [e.innerText, e.contains(document.elementFromPoint(x, y))
              && b.top >= 0 && b.bottom <= innerHeight]; });
          return over.length && over;"""), "the acts")
        assert beside == [["Undo", True], ["Redo", True], ["Save", True], ["To the films", True]]
        # WCAG 2.2, 2.4.11: what is led to is not hidden beneath them.
        head = page.box(f"{part} h2" if part != "#title" else part)
        assert page.script("const e = document.elementFromPoint(arguments[0], arguments[1]);"
                           " return !!e && !e.closest('#acts, #bench')",
                           head["x"] + 5, head["y"] + head["height"] / 2), part


def test_words_stand_out(page: SeenPage) -> None:
    """Contrast of AA: 4.5 for text, 3 for the parts that one acts on.

    Source: WCAG 2.2, 1.4.3 and 1.4.11, and its formula of contrast.
    """
    page.take("photo.png")
    page.until(lambda: "passed" in page.find("#found").text, "findings", 90)
    texts, parts = page.script("""
      const light = (rgb) => { const [r, g, b] = rgb.map((v) => { v /= 255;
        return v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; });
        return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
      const numbers = (css) => css.match(/[\\d.]+/g).map(Number);
      const behind = (e) => { for (; e; e = e.parentElement) {
        const c = numbers(getComputedStyle(e).backgroundColor);
        if (c.length === 3 || c[3] > 0.99) { return c.slice(0, 3); } } return [255, 255, 255]; };
      const ratio = (a, b) => (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
      const texts = [...document.querySelectorAll('main *, header *')].filter((e) =>
        !e.closest('svg, [hidden], option') && [...e.childNodes].some((n) => n.nodeType === 3
          && n.data.trim()) && e.getBoundingClientRect().width).map((e) =>
          [ratio(light(numbers(getComputedStyle(e).color).slice(0, 3)), light(behind(e))),
           e.outerHTML.slice(0, 90)]);
      const parts = [...document.querySelectorAll('button:not(:disabled):not(.thing),'
        + ' input[type=text], select')].filter((e) => e.getBoundingClientRect().width).map((e) => {
          const s = getComputedStyle(e);
          return [ratio(light(numbers(s.borderBottomColor).slice(0, 3)),
            light(behind(e.parentElement))), e.outerHTML.slice(0, 90)]; });
      return [texts, parts];""")
    assert len(texts) > 60
    assert [one for one in texts if one[0] < 4.5] == []
    assert [one for one in parts if one[0] < 3] == []


def test_names_are_inert(driver: Any, serve: Serve, tmp_path: Path) -> None:
    """Script in every name that a job has, and in its file's."""
    evil = "<img src=x onerror=alert(1)><script>alert(2)</script>"
    quoted = json.dumps(evil)
    path = write_small_job(
        tmp_path / "job", ('"Marsh light"', quoted), ('"Small plank"', quoted),
        ('name = "Cyan"', f"name = {quoted}"), ("[separation]", f"""
[[note]]
text = {quoted}
at = ["0 mm", "0 mm"]
ink = {quoted}
[[line]]
points = [["0 mm", "0 mm"], ["50 mm", "0 mm"]]
name = {quoted}
ink = {quoted}
[[keep_out]]
name = {quoted}
at = ["-100 mm", "0 mm"]
diameter = "12 mm"
[[important]]
name = {quoted}
at = ["100 mm", "0 mm"]
diameter = "12 mm"
[separation]"""), ('"photo.png"', '"<img src=x onerror=alert(4)>.png"'))
    (path.parent / "photo.png").rename(path.parent / "<img src=x onerror=alert(4)>.png")
    named = path.with_name("<b onclick=alert(3)>&quot;.toml")
    path.rename(named)
    (named.parent / "<i>x.toml").write_bytes(named.read_bytes())
    page = SeenPage(driver, serve(named)).open().ready()
    page.until(lambda: page.all(".finding"), "findings", 90)
    for words in ("Note", "Line", "Photo"):
        page.take(words)
        page.ready()
    page.choose("[data-key='c how']", "wipe")
    page.choose("[data-key='c against']", "beside:<i>x.toml")
    page.until(lambda: page.script("return import('./pictures.js').then(({shownOf}) =>"
                                   " !!shownOf('beside:<i>x.toml'))"), "the other job")
    page.choose("[data-key='c against']", "saved")
    page.shows("#title", evil)
    page.shows("#things", evil)
    assert not page.all("main img:not(.small-board img), main script, main b, main i")
    assert page.script("return typeof window.alerted") == "undefined"
    from selenium.common.exceptions import NoAlertPresentException

    with pytest.raises(NoAlertPresentException):
        _ = driver.switch_to.alert
    assert page.complaints() == []


@pytest.mark.parametrize("how", [
    "figures", pytest.param("outline", marks=pytest.mark.long)])
def test_a_job_is_begun_from_a_photo_and_a_board(driver: Any, serve: Serve, tmp_path: Path,
                                                 how: str) -> None:
    sources, folder = tmp_path / "sources", tmp_path / "work"
    folder.mkdir()
    path = write_small_job(sources)
    (sources / "plank.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 320 100" width="320mm" '
        'height="100mm"><path d="M40 10 C110 24 210 24 280 6 C312 6 312 94 280 94 C210 76 110 76 '
        '40 90 C8 90 8 10 40 10 Z"/></svg>', encoding="utf-8")
    served = serve(None, folder)
    page = SeenPage(driver, served).open()
    page.until(lambda: page.all("#begin input[data-pick=photo]"), "the page")
    assert not page.find_button("Begin").is_enabled()
    page.find("#begin input[data-pick=photo]").send_keys(str(path.parent / "photo.png"))
    page.until(lambda: "1240 × 360 pixels" in page.find("#begin").text, "the photo")
    assert page.find("[data-key='c end at the nose']").get_attribute("value") == "90"
    if how == "figures":
        page.type_in("[data-key='figure length']", "30")
        page.until(lambda: page.find("[data-key='figure waist_width']").get_attribute("value")
                   == "4.8 cm", "figures from the length")
        assert page.find("[data-key='figure length']").get_attribute("value") == "30 cm"
        for key, value in (("nose_width", "8 cm"), ("waist_width", "7 cm"),
                           ("contact_length", "20 cm"), ("taper", "2 mm")):
            page.type_in(f"[data-key='figure {key}']", value)
    else:
        page.click("[data-key='how file']")
        page.find("#begin input[data-pick=outline]").send_keys(str(sources / "plank.svg"))
        page.until(lambda: page.all(".ring polygon"), "the outline")
        page.shows("#begin", "long")
        page.choose("[data-key='c nose']", "left")
        page.until(lambda: page.find("[data-key='c nose']").get_attribute("value") == "left",
                   "the other nose")
    page.until(lambda: page.find("[data-key='title']").get_attribute("value") == "photo", "a title")
    page.type_in("[data-key='title']", "Sluice at low water")
    page.until(lambda: page.find("[data-key='folder']").get_attribute("value")
               == "Sluice_at_low_water", "a folder's name")
    assert list(folder.iterdir()) == []
    page.press("Begin")
    page.until(lambda: page.all(".thing"), "the board", 90)
    page.ready()
    made = folder / "Sluice_at_low_water"
    written = tomllib.loads((made / "Sluice_at_low_water.toml").read_text(encoding="utf-8"))
    assert written["title"] == "Sluice at low water"
    assert written["art"] == [{"file": "photo.png", "kind": "photo", "place": "fill", "turn": 90}]
    assert (made / "photo.png").read_bytes() == (sources / "photo.png").read_bytes()
    board = read_job(made / "Sluice_at_low_water.toml").board
    if how == "figures":
        assert board.length
        assert board.length.written == "30 cm"
    else:
        assert (board.outline, board.outline_nose) == ("plank.svg", "left")
    page.shows(".thing[aria-pressed=true]", "Photo photo.png")  # in the hand
    served.job = made / "Sluice_at_low_water.toml"
    page.drag_on_board((0, 0), (12, 0))
    assert mm(page.saved()["art"][0]["offset_along"]) == pytest.approx(12, abs=0.3)


@pytest.mark.long
def test_a_job_is_begun_from_a_page_of_a_pdf(driver: Any, serve: Serve, tmp_path: Path) -> None:
    folder = tmp_path / "work"
    folder.mkdir()
    path = changed(write_pdf(tmp_path / "salt pans.pdf", lambda _: None, halves), _boxed)
    served = serve(None, folder)
    page = SeenPage(driver, served).open()
    page.until(lambda: page.all("#begin input[data-pick=photo]"), "the page")
    dropped(page, path, (300, 300))
    page.shows("#begin", "of 2 is read to its")
    page.shows("#begin", "299.9 × 80.4 mm")
    page.type_in("[data-key='f page']", "7")
    page.shows("#begin", "found no page 7 among 2")
    page.type_in("[data-key='f page']", "2")
    page.until(lambda: "found" not in page.find("#begin").text, "page 2")
    page.choose("[data-key='c page box']", "trim box")
    page.shows("#begin", "239.9 × 80.4 mm")
    for key, value in (("length", "30 cm"), ("nose_width", "8 cm"), ("waist_width", "7 cm"),
                       ("contact_length", "20 cm"), ("taper", "2 mm")):
        page.type_in(f"[data-key='figure {key}']", value)
    page.press("Begin")
    page.until(lambda: page.all(".thing"), "the board")
    served.job = folder / "salt_pans" / "salt_pans.toml"
    page.ready()
    assert tomllib.loads(served.job.read_text(encoding="utf-8"))["art"] == [
        {"file": "salt pans.pdf", "page": 2, "page_box": "trim box", "kind": "photo",
         "place": "fill", "turn": 90}]
    assert quick_session(served.job).of(PHOTOS_PLACED)[0].artwork.page == 2
    # The page's blue half is on the board, and its white surround is not.
    seen = page.picture().reshape(-1, 3).astype(int)
    assert ((seen[:, 0] - seen[:, 2]) > 25).mean() > 0.05
    assert [one for one in page.complaints() if "422" not in one] == []


@pytest.mark.long
def test_unsaved_changes_outlive_a_killed_server_and_a_closed_page(driver: Any, serve: Serve,
                                                                   tmp_path: Path) -> None:
    served = serve(write_small_job(tmp_path / "job"))
    page = SeenPage(driver, served).open().ready()
    page.drag_on_board(BARE, (9, 0))
    served.end(9)
    page.until(lambda: "not there" in page.find("#telling").text, "a word of it")
    again = serve(served.job)
    page = SeenPage(driver, again).open().ready()
    page.shows("#telling", "taken up again")
    assert mm(page.saved()["art"][0]["offset_along"]) == pytest.approx(9, abs=0.3)
    assert again.end() == 0
    assert not [p for p in (tmp_path / "job").iterdir() if p.name.startswith(".")]
