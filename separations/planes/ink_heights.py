"""Heights of the inks on the board, and where declared pairs of them meet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.board.area_mask import Area, coverage_mask
from preflight.board.topsheet_area import TopsheetArea
from preflight.facts.ink_height_facts import InkLayer, LayerFacts, Overlap
from preflight.facts.tone_facts import densest_place
from preflight.frames.raster_grid import RasterGrid, grid_over
from preflight.frames.tiled_plane import TiledPlane
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from separations.colour.colorimetry import lab_to_xyz
from separations.colour.job_inks import ink_colour
from separations.ink_need.ink_estimate import deposit_um
from separations.planes.art_separation import ArtSeparation
from separations.planes.line_work import LineWork
from separations.planes.overlays import Overlay, VectorWork

#: Pixel of the grid on which heights are summed (mm): a halftone period or two.
_PIXEL_MM = 1.0
#: Share of its height that an ink keeps as it dries, unless the job says. UV-cured inks lose
#: nothing ("How to Avoid Color Changes in Screen Printing", screenweb.com, November 2002: pure UV
#: inks do not evaporate). Of solvent inks over half goes, of some over 70 % ("UV or Not UV in
#: ScreenPrinting Inks", uv-int.com), by weight, and of the height rather more, since solvents are
#: lighter. Of water-based ones 35 to 45 % stays: from memory, unverified.
DRY_SHARE = {"uv": 1.0, "air": 0.4}
#: Tone from which an ink counts as printed at a place.
_PRINTED = 0.01
_FULL = 65_535


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sampled:
    """Planes read at the points where heights are summed.

    Attributes
    ----------
    photo : tuple of (ndarray of float32, shape (rows, columns), or None)
        Tones (0 to 1) of each of the job's inks before line work.
    lines : tuple of (ndarray of float32, ndarray of float32, ndarray of float32 or None)
        Shares (0 to 1) that each picture of lines inks, that it takes out of other inks, and that
        the underbase prints beneath it.
    """

    photo: tuple[NDArray[np.float32] | None, ...] = ()
    lines: tuple[tuple[NDArray[np.float32], NDArray[np.float32],
                       NDArray[np.float32] | None], ...] = ()


def heights_grid(area: TopsheetArea) -> RasterGrid:
    """The points at which heights are summed."""
    return grid_over(area.image_bounds, _PIXEL_MM)


def sampled_photo(job: Job, separation: ArtSeparation, grid: RasterGrid) -> Sampled:
    """The photographs' tones at the grid's points."""
    planes = [separation.tones_of(ink, job) for ink in job.ink]
    return Sampled(photo=tuple(None if plane is None else _at(plane, separation.grid, grid)
                               / np.float32(_FULL) for plane in planes))


def sampled_lines(pictures: tuple[LineWork, ...], grid: RasterGrid) -> Sampled:
    """Pictures of lines at the grid's points."""
    return Sampled(lines=tuple(
        (_at(one.cover, one.grid, grid) / np.float32(255),
         _at(one.trapped, one.grid, grid) / np.float32(255),
         None if one.white is None else _at(one.white, one.grid, grid) / np.float32(255))
        for one in pictures))


def measure_layers(job: Job, grid: RasterGrid, photo: Sampled, lines: Sampled,
                   overlays: tuple[Overlay, ...]) -> LayerFacts:
    """Sum the inks' heights over the board.

    Parameters
    ----------
    job : Job
        Its inks, meshes and wood.
    grid : RasterGrid
        The points of `heights_grid`.
    photo, lines : Sampled
        Photographs and pictures of lines, read there.
    overlays : tuple of Overlay
        All that lies on the photographs, in its order.

    Notes
    -----
    A solid's height is the likely deposit of `separations.ink_need.ink_estimate.deposit_um`.
    """
    layers = tuple(_layer(job, ink) for ink in job.ink)
    tones = {ink.name: _tones(ink, plane, lines, overlays, grid)
             for ink, plane in zip(job.ink, photo.photo, strict=True)}
    wet = sum((tones[layer.ink] * np.float32(layer.wet_um) for layer in layers),
              np.zeros((grid.rows, grid.columns), np.float32))
    row, column = np.unravel_index(int(np.argmax(wet)), wet.shape)
    dry = sum(float(tones[layer.ink][row, column]) * layer.dry_um for layer in layers)
    highest = np.zeros(wet.shape, np.bool_)
    highest[row, column] = wet[row, column] > 0
    return LayerFacts(
        inks=layers, wet_um=float(wet[row, column]), dry_um=dry,
        place=densest_place(highest, grid, box_mm=5.0),
        overlaps=tuple(_overlap(ink.name, lower, tones, grid)
                       for ink in job.ink for lower in ink.not_over
                       if _before(job, lower, ink.name)))


def _before(job: Job, one: str, other: str) -> bool:
    names = [ink.name for ink in job.ink]
    return names.index(one) < names.index(other)


def _layer(job: Job, ink: InkTable) -> InkLayer:
    colour = ink_colour(job, ink)
    opacity = colour.opacity
    if colour.lab_over_black is not None:
        white = max(float(lab_to_xyz(colour.lab)[1]), 1e-6)
        opacity = min(1.0, float(lab_to_xyz(colour.lab_over_black)[1]) / white)
    wet = deposit_um(job.mesh_of(ink), job.wood_absorption).likely
    dry = DRY_SHARE[ink.cure] if ink.solids is None else ink.solids.fraction
    return InkLayer(ink=ink.name, wet_um=wet, dry_um=wet * dry, lightness=float(colour.lab[0]),
                    opacity=opacity)


def _tones(
    ink: InkTable, photo: NDArray[np.float32] | None, lines: Sampled,
    overlays: tuple[Overlay, ...], grid: RasterGrid,
) -> NDArray[np.float32]:
    """One ink's tones (0 to 1) at the grid's points, its line work over them."""
    tones = np.zeros((grid.rows, grid.columns), np.float32) if photo is None else photo
    pictures = iter(lines.lines)
    for overlay in overlays:
        if isinstance(overlay, VectorWork):
            tones = _with_drawing(tones, overlay, ink, grid)
            continue
        inked, taken, white = next(pictures)
        if overlay.table.ink == ink.name:
            tones = np.maximum(tones, inked)
        elif ink.prints == "highlight white":
            tones = tones * (1 - inked)
        elif ink.prints == "underbase" and white is not None:
            tones = np.maximum(tones, white)
        elif overlay.table.beneath == "knock out" and ink.prints != "underbase":
            tones = tones * (1 - taken)
    return tones


def _with_drawing(tones: NDArray[np.float32], work: VectorWork, ink: InkTable,
                  grid: RasterGrid) -> NDArray[np.float32]:
    """An ink's tones with a drawing over them."""
    if ink.prints == "highlight white" and work.drawn.ink != ink.name:
        return tones * (1 - _share(work.printed, grid))
    for name, area in work.cleared:
        if name == ink.name:
            tones = tones * (1 - _share(area, grid))
    if ink.prints == "underbase" and not work.white.is_empty:
        tones = np.maximum(tones, _share(work.white, grid))
    if work.drawn.ink != ink.name:
        return tones
    tinted = _share(work.printed, grid) * np.float32(work.drawn.tint)
    return np.asarray(np.maximum(tones, tinted), np.float32)


def _share(area: Area, grid: RasterGrid) -> NDArray[np.float32]:
    return coverage_mask(area, grid).astype(np.float32) / np.float32(_FULL)


def _at(
    plane: NDArray[np.uint16] | TiledPlane, of: RasterGrid, grid: RasterGrid
) -> NDArray[np.float32]:
    """A plane read at the middles of a coarser grid's pixels."""
    rows = np.clip(of.row_of(0.0) - grid.row_centres_x_mm() / of.pixel_mm, 0, of.rows - 1)
    columns = np.clip(of.column_of(0.0) - grid.column_centres_y_mm() / of.pixel_mm, 0,
                      of.columns - 1)
    at = rows.astype(np.intp)[:, None], columns.astype(np.intp)[None, :]
    return (plane.at(*at) if isinstance(plane, TiledPlane) else plane[at]).astype(np.float32)


def _overlap(
    upper: str, lower: str, tones: dict[str, NDArray[np.float32]], grid: RasterGrid
) -> Overlap:
    both = (tones[upper] > _PRINTED) & (tones[lower] > _PRINTED)
    return Overlap(upper=upper, lower=lower,
                   mm2=int(np.count_nonzero(both)) * grid.pixel_mm**2,
                   place=densest_place(both, grid))
