"""What to write in a photo's [[art]] table so that it covers, keeps its crop or has pixels enough.

Each advice is whole: written into the job as it stands, nothing else need be changed. Sizes are
rounded to the side on which the photo still does what was asked.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from shapely import get_coordinates

from preflight.art.placement import PlacedArt, Placement, place
from preflight.facts.submission import ArtOnBoard, Submission
from preflight.findings import listed
from preflight.job_file.job_tables import ArtTable
from preflight.units import Angle

#: A photo that ends so near the printed area's edge (mm) covers it: rounding of its corners.
EDGE_MM = 0.05
BACK_TO_THE_MIDDLE = 'offset_along and offset_across to "0 mm"'


def placed_by(submission: Submission, art: ArtOnBoard, table: ArtTable) -> PlacedArt:
    """The art as it would lie with another table, which has no size of its own."""
    return place(art.artwork.width_px, art.artwork.height_px, submission.area.image_bounds,
                 Placement(how=table.place, offset_x_mm=table.offset_along.mm,
                           offset_y_mm=table.offset_across.mm, turn_deg=table.turn.deg,
                           flip=table.flip))


def width_of(placed: PlacedArt) -> float:
    """Width (mm) of a placed picture along its own rows, as the key ``width`` tells it."""
    return placed.width_px * placed.mm_per_px


def fills(submission: Submission, art: ArtOnBoard, table: ArtTable) -> bool:
    """Whether a photo would cover all of the printed area with another table."""
    reach = placed_by(submission, art, table).polygon.buffer(EDGE_MM)
    return bool(reach.contains(submission.area.printed))


def size_as_it_lies(art: ArtOnBoard) -> str:
    """The keys that keep a photo's size, rounded up to 0.1 mm so that it covers what it did."""
    return f'place = "scale" and width = "{math.ceil(width_of(art.placed) * 10 - 1e-6) / 10:g} mm"'


def size_to_cover(submission: Submission, art: ArtOnBoard, *, moved: bool) -> tuple[float, str]:
    """How many times as large a photo covers the printed area, and its width then.

    Parameters
    ----------
    submission : Submission
        The board.
    art : ArtOnBoard
        The photo.
    moved : bool
        Whether it stays where it was moved to; else its middle lies in that of the printed area.

    Returns
    -------
    float
        1 or less where it is large enough.
    str
        The width as written in a job, in whole mm.
    """
    placed, bounds = art.placed, submission.area.image_bounds
    half = np.array([placed.width_px / 2, placed.height_px / 2])
    middle = (placed.board_of(half) if moved else
              np.array([(bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2]))
    corners = get_coordinates(submission.area.printed.convex_hull) - middle
    times = float((np.abs(corners @ placed.to_art[:2, :2].T) / half).max())
    return times, f"{math.ceil(width_of(placed) * times)} mm"


def size_for_pixels(art: ArtOnBoard, times: float) -> str:
    """The keys that lay a photo on bare wood at most so many times as large; empty if tiny."""
    width = math.floor(width_of(art.placed) * times + 1e-6)
    if width < 1:
        return ""
    table, keys = art.table, [f'width = "{width} mm"']
    if table.place != "scale":
        keys.insert(0, 'place = "scale"')
    if not table.bare_wood_around:
        keys.append("bare_wood_around = true")
    without = [key for key in ("resolution", "fill_edges") if getattr(table, key)]
    return listed(keys) + (f" (without {' and '.join(without)})" if without else "")


def filled_instead(submission: Submission, art: ArtOnBoard) -> str:
    """What makes a photo fill the board that is placed in another way."""
    table = replace(art.table, place="fill")
    size = "resolution" if art.table.resolution else "width" if art.table.width else ""
    parts = ['set place = "fill"', *([f"take {size} out"] if size else []),
             *([] if fills(submission, art, table) else [f"set {BACK_TO_THE_MIDDLE}"])]
    return listed(parts)


def turned_instead(submission: Submission, art: ArtOnBoard, deg: float) -> str:
    """What turns a photo that fills or fits, brought back to the middle where it must be."""
    table = replace(art.table, turn=Angle(deg, f"{deg:g}°"))
    stays = art.table.place == "fit" or fills(submission, art, table) or not fills(
        submission, art, art.table)
    return "" if stays else f", with {BACK_TO_THE_MIDDLE}"
