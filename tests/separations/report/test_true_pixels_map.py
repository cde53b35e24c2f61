"""The map of true pixels: tiles in the colours of the limits, where the photo lies."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from preflight.facts.submission import Submission
from separations.report.true_pixels_map import true_pixel_pictures
from tests.prepared_jobs import prepare

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def submission(tmp_path_factory: pytest.TempPathFactory) -> Submission:
    from tests.small_art import write_small_job

    folder = tmp_path_factory.mktemp("map") / "job"
    return prepare(write_small_job(Path(folder)), finest_ppi=40.0).submission


def mapped(submission: Submission, values: list[list[float]]) -> Submission:
    photo = submission.photos[0]
    scale = np.diag([photo.true_ppi_map.shape[1] / len(values[0]),
                     photo.true_ppi_map.shape[0] / len(values), 1.0])
    return replace(submission, photos=(replace(
        photo, true_ppi_map=np.array(values, np.float32),
        map_to_board=photo.map_to_board @ scale),))


def test_tiles_take_the_colours_of_the_limits(submission: Submission) -> None:
    # 45 lpi: 0.5, 1.05, 1.4 and 2.8 true pixels per line are 22.5, 47.25, 63 and 126 ppi.
    (picture,) = true_pixel_pictures(mapped(submission, [[22, 23, 48, 64, 127, np.nan]]))
    root = ElementTree.fromstring(picture.data.decode())
    tiles = [path.get("fill") for path in root.iter(f"{SVG}path") if "v1h-1z" in path.get("d", "")]
    shades = [rect.get("fill") for rect in root.iter(f"{SVG}rect") if rect.get("x")]
    assert tiles == shades[:5]
    assert len(set(shades)) == 6
    assert "40 % of the tiles with detail" in picture.caption
    assert root.find(f".//{SVG}image") is not None


def test_tiles_and_photo_lie_where_they_print(submission: Submission) -> None:
    (picture,) = true_pixel_pictures(submission)
    root = ElementTree.fromstring(picture.data.decode())
    art = next(art for art in submission.art if art.table.kind == "photo")
    image = root.find(f".//{SVG}image")
    assert image is not None
    a, b, c, d, e, f = map(float, image.get("transform", "")[7:-1].split())
    far = float(image.get("width", "0")), float(image.get("height", "0"))
    size = float(art.artwork.width_px), float(art.artwork.height_px)
    for share in ((0.0, 0.0), (1.0, 0.0), (0.3, 0.8)):
        x, y = (s * n for s, n in zip(share, far, strict=True))
        drawn = a * x + c * y + e, b * x + d * y + f
        assert drawn == pytest.approx(art.placed.board_of(np.multiply(share, size)), abs=0.01)


def test_patches_of_the_legend_lie_below_its_heading_and_apart(submission: Submission) -> None:
    (picture,) = true_pixel_pictures(submission)
    root = ElementTree.fromstring(picture.data.decode())
    legend = next(group for group in root.iter(f"{SVG}g")
                  if any(word.text and "per inch" in word.text
                         for word in group.findall(f"{SVG}text")))
    heading, *words = legend.findall(f"{SVG}text")
    patches = [tuple(float(rect.get(name, "nan")) for name in ("x", "y", "width", "height"))
               for rect in legend.findall(f"{SVG}rect")]
    assert len(patches) == len(words) == 6
    for number, (x, y, wide, high) in enumerate(patches):
        assert y > float(heading.get("y", "nan"))
        assert y < float(words[number].get("y", "nan")) < y + high
        for other_x, other_y, *_ in patches[number + 1:]:
            assert abs(other_x - x) > wide or abs(other_y - y) > high
    _, top, _, length = map(float, root.get("viewBox", "").split())
    down = float(legend.get("transform", "").rstrip(")").split()[-1])
    assert down + max(y + high for _, y, _, high in patches) <= top + length


def test_a_photo_without_detail_has_no_map(submission: Submission) -> None:
    assert true_pixel_pictures(mapped(submission, [[np.nan, np.nan]])) == ()
