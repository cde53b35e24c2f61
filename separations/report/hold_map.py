"""Where on the board the mesh loses tone, as a picture."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.board.area_mask import coverage_mask
from preflight.frames.raster_grid import RasterGrid, grid_over
from preflight.units import MM_PER_INCH
from separations.measuring.hold.halftone_hold import Tally
from separations.measuring.hold.job_hold import MeshHold
from separations.planes.art_separation import ArtSeparation
from separations.planes.laid_out_job import LaidOutJob
from separations.proof.run_pictures import png_bytes, reach_map
from separations.proof.shown_pictures import ReportPicture

_MAP_PPI = 24.0
#: Tone losses are ranked in steps of this tone.
_TONE_STEP = 0.02
#: The least loss worth a map: share of the area by dots, mm² by lines. Own rules, no source.
_WORTH_SHOWING, _WORTH_SHOWING_MM2 = 0.005, 0.05
#: Steps of the map's colours for each per cent of tone lost: ochre from 1.7 %, red 3 %, black 5 %.
_STEPS_PER_PERCENT = 3.0
_RING_MM, _RING_COLOUR, _LETTER_COLOUR = 5.0, (38, 70, 150), (20, 120, 60)
_FULL = 65_535


def loss_by_tone(tally: Tally, tones: NDArray[np.float32]) -> NDArray[np.float32]:
    """What is lost at each tone, as measured in the windows of about that tone.

    Parameters
    ----------
    tally : Tally
        The windows of one ink.
    tones : NDArray of float32, any shape
        Tones (0 to 1) of that ink.

    Returns
    -------
    NDArray of float32, same shape
        Shares of the area lost; none at clear and at solid.
    """
    known = (tally.tone > 0) & (tally.tone < 1)
    step = np.rint(tally.tone[known] / _TONE_STEP).astype(int)
    if not step.size:
        return np.zeros_like(tones)
    counts = np.bincount(step)
    means = np.bincount(step, weights=tally.lost[known]) / np.maximum(counts, 1)
    at = np.flatnonzero(counts)
    lost = np.interp(tones, [-1e-6, *np.clip(at * _TONE_STEP, 0.002, 0.998), 1.0 + 1e-6],
                     [0.0, *means[at], 0.0])
    return np.where((tones > 0) & (tones < 1), lost, 0.0).astype(np.float32)


def loss_map(
    hold: MeshHold, laid: LaidOutJob, separation: ArtSeparation, grid: RasterGrid
) -> NDArray[np.float32]:
    """Share of the tone of all inks that is expected to be lost, at each pixel of a coarse grid."""
    lost = np.zeros((grid.rows, grid.columns), np.float32)
    for ink in laid.job.ink:
        plane = separation.tones_of(ink, laid.job)
        halftone = hold.halftones.get(ink.name)
        if plane is None or halftone is None:
            continue
        tones = cv2.resize(plane, (grid.columns, grid.rows),
                           interpolation=cv2.INTER_AREA).astype(np.float32) / _FULL
        lost += loss_by_tone(halftone.dots, tones) + loss_by_tone(halftone.holes, tones)
    return lost


def hold_picture(
    hold: MeshHold, laid: LaidOutJob, separation: ArtSeparation
) -> NDArray[np.uint8] | None:
    """The board, nose to the right: darker where more tone is lost, rings round thin lines.

    Returns
    -------
    NDArray of uint8, shape (columns, rows, 3), or None
        None where the mesh holds everything that matters.
    """
    worst = max((max(h.dots.lost.max(initial=0), h.holes.lost.max(initial=0))
                 for h in hold.halftones.values()), default=0.0)
    places = np.concatenate([line.places for line in hold.lines]) if hold.lines \
        else np.zeros((0, 3))
    letters = [place.centre_mm for one in hold.lettering for place in one.places]
    if (worst < _WORTH_SHOWING and places[:, 2].sum() < _WORTH_SHOWING_MM2 and not letters):
        return None
    grid = grid_over(laid.area.image_bounds, MM_PER_INCH / _MAP_PPI)
    inside = coverage_mask(laid.area.printed, grid) > _FULL // 2
    picture = reach_map(loss_map(hold, laid, separation, grid) * np.float32(
        100 * _STEPS_PER_PERCENT), inside)
    edge = cv2.findContours(np.rot90(inside.astype(np.uint8), k=-1).copy(), cv2.RETR_EXTERNAL,
                            cv2.CHAIN_APPROX_NONE)[0]
    cv2.drawContours(picture, edge, -1, (120, 110, 100), 1, cv2.LINE_AA)
    for x, y, colour in (*((x, y, _RING_COLOUR) for x, y, _ in places),
                         *((x, y, _LETTER_COLOUR) for x, y in letters)):
        middle = (round(grid.rows - 1 - grid.row_of(x)), round(grid.column_of(y)))
        cv2.circle(picture, middle, round(_RING_MM / grid.pixel_mm), colour, 1, cv2.LINE_AA)
    return picture


def hold_pictures(picture: NDArray[np.uint8] | None) -> tuple[ReportPicture, ...]:
    """The map for the report's page, if there is one."""
    if picture is None:
        return ()
    return (ReportPicture(
        title="What the meshes do not hold", data=png_bytes(picture), media_type="image/png",
        is_wide=True,
        alt="Map of what the meshes do not hold",
        caption="What the meshes lose of the films' dots, nose to the right: pale holds, ochre "
                "loses 1.7 % of tone, red 3 %, black 5 % and more; blue rings stand round lines "
                "and gaps finer than the mesh holds, green ones round letters with such a "
                "stroke, counter or gap. Reckoned from the films' own dots."),)
