"""Tracks on the layout page: shown, chosen, changed by hand; landmarks marked by a click."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest

from tests.separations.uses.layout_page.conftest import Serve
from tests.separations.uses.layout_page.seen_page import SeenPage
from tests.track_art import CAMERA, LANDMARKS, earth, landmark_tables, walk, write_track_job

TRACK = '[[track]]\nfile = "walks.gpx"\nink = "Black"\nname = "Tern Walk"\n'

pytestmark = pytest.mark.long


def test_a_track_is_listed_changed_and_landmarks_are_marked_by_a_click(
        driver: Any, serve: Serve, tmp_path: Path) -> None:
    tables = landmark_tables().split("[[landmark]]")[1:]
    job = write_track_job(tmp_path / "job", TRACK, walk(),
                          landmarks="".join("[[landmark]]" + one for one in tables[:5]))
    page = SeenPage(driver, serve(job)).open().ready()
    true = CAMERA.pixels_of(LANDMARKS)[0]
    for place in (5, 6):
        _mark(page, place)
        mark = page.served.told()["document"]["landmark"][place]
        across, down = (float(part.rstrip(" %")) / 100 for part in mark["at"])
        assert np.hypot(across * 1240 - true[place][0], down * 360 - true[place][1]) < 4
    scene = page.ready().served.told()["scene"]
    assert scene["faults"] == []
    assert [one["place"] for one in scene["landmarks"]] == list(range(7))
    drawn, = (one for one in scene["drawn"] if one["table"] == "track")
    assert drawn["path"]
    page.take("Track “Tern Walk”")
    page.type_in("[data-key='f width']", "0.9")
    page.choose("[data-key='c ink']", "Magenta")
    page.choose("[data-key='c hidden']", "thin")
    page.ready()
    cv2.imwrite(str(tmp_path / "page.png"), page.window())
    table = page.served.told()["document"]["track"][0]
    assert (table["width"], table["ink"], table["hidden"]) == ("0.9 mm", "Magenta", "thin")
    page.click("[aria-label='Take away landmark 7']")
    page.until(lambda: len(page.served.told()["document"]["landmark"]) == 6, "one landmark fewer")


def test_with_too_few_landmarks_the_page_opens_and_says_so(serve: Serve, tmp_path: Path) -> None:
    tables = landmark_tables().split("[[landmark]]")[1:]
    job = write_track_job(tmp_path / "job", TRACK, walk(),
                          landmarks="".join("[[landmark]]" + one for one in tables[:3]))
    scene = serve(job).told()["scene"]
    assert scene["faults"] == [
        f"{job}: landmark: found 3 landmarks on 'photo.png'; 4 to 12 of them would do."]
    assert [one for one in scene["drawn"] if one["table"] == "track"] == []
    assert len(scene["landmarks"]) == 3


def _mark(page: SeenPage, place: int) -> None:
    """Click on the landmark where it is seen, and type where it is on earth."""
    art, = (one for one in page.served.told()["scene"]["art"] if one["kind"] == "photo")
    a, b, c, d, e, f = art["matrix"]
    u, v = CAMERA.pixels_of(LANDMARKS)[0][place]
    before = len(page.served.told()["document"]["landmark"])
    page.press("Mark a landmark")
    page.tap((a * u + c * v + e, b * u + d * v + f))
    lat, lon, height = (float(part[0]) for part in earth(LANDMARKS[place:place + 1]))
    for key, value in (("latitude", f"{lat:.8f}"), ("longitude", f"{lon:.8f}"),
                       ("height", f"{height:.2f} m")):
        page.type_in(f"[data-key='mark {key}']", value)
    page.press("Add the landmark")
    page.until(lambda: len(page.served.told()["document"]["landmark"]) == before + 1,
               "the landmark in the job")
