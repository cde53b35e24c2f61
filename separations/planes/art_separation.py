"""From photographs on the board to tone planes, each through its lattice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely import Polygon, union_all

from preflight.art.art_plane import ArtPlane, photo_plane
from preflight.art.artwork import Artwork
from preflight.art.artwork_pixels import LoadPixels, load_pixels
from preflight.art.placement import PlacedArt
from preflight.board.area_mask import coverage_mask
from preflight.board.topsheet_area import TopsheetArea
from preflight.facts.submission import ArtOnBoard
from preflight.frames.raster_grid import RasterGrid, grid_over
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from preflight.units import MM_PER_INCH
from separations.colour.print_model import PrintModel
from separations.planes.choke import COARSEST_EDGE_PPI, choked
from separations.planes.coarse_photos import CoarsePhoto
from separations.planes.gamut import colours_missed
from separations.planes.ink_lattice import InkLattice
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.opacity_mask import with_opacity
from separations.planes.photo_hand import hand_levels
from separations.planes.photo_lattices import PhotoLattices
from separations.planes.separation import separate_over

#: A photograph finer than this on the board shows no more on the film, in pixels per line.
_MOST_PIXELS_PER_LINE = 4.5
_COARSEST_PPI = 72.0
#: Resolution of the map of colours out of reach (ppi).
_REACH_PPI = 36.0
_FULL = 65_535


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlaneGrid:
    """The pixels of a job's planes.

    Attributes
    ----------
    grid : RasterGrid
        Where they lie: over the printed area.
    inside : ndarray of bool, shape (rows, columns)
        The printed area.
    """

    grid: RasterGrid
    inside: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CoarseTones:
    """The photographs' tones in few pixels: the ground on which drawings are judged.

    Attributes
    ----------
    planes : tuple of (ndarray of uint16, shape (rows, columns), or None)
        One for each of the job's inks, in print order; None for an ink of line work only.
    grid : RasterGrid
        Where the pixels lie.
    """

    planes: tuple[NDArray[np.uint16] | None, ...]
    grid: RasterGrid


class PhotoPlane(Protocol):
    """Whatever resamples a photograph as `preflight.art.art_plane.photo_plane` does."""

    def __call__(self, artwork: Artwork, placed: PlacedArt, grid: RasterGrid, *,
                 load: LoadPixels, fill_mm: float) -> ArtPlane:
        """The photograph on a grid."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ArtSeparation:
    """The photographs as film tones.

    Attributes
    ----------
    planes : ndarray of uint16, shape (k, rows, columns)
        Film tones of the photograph's inks, 65535 for 100 %; zero where there is no art.
    underbase, highlight : ndarray of uint16, shape (rows, columns), or None
        Film tones of the underbase and of the highlight white, choked within the art, if the job
        has them.
    grid : RasterGrid
        Where the pixels lie: over the printed area.
    inside : ndarray of bool, shape (rows, columns)
        The printed area.
    model : PrintModel
        The photograph's inks on wood, or on the underbase's solid.
    lattices : tuple of InkLattice
        One for each photograph, in its order.
    missed : ndarray of float32, shape (coarse rows, coarse columns)
        ΔE00 between the colour aimed at and the one that these inks give, on ``missed_grid``;
        zero without art.
    missed_grid : RasterGrid
        Where those pixels lie.
    photos : tuple of CoarsePhoto
        The photographs on ``missed_grid``, later ones over earlier ones.
    see_through : ndarray of bool, shape (rows, columns), or None
        Within the photographs' edges, but nowhere opaque; None where all photographs are opaque.
    """

    planes: NDArray[np.uint16]
    underbase: NDArray[np.uint16] | None
    highlight: NDArray[np.uint16] | None
    grid: RasterGrid
    inside: NDArray[np.bool_]
    model: PrintModel
    lattices: tuple[InkLattice, ...]
    missed: NDArray[np.float32]
    missed_grid: RasterGrid
    photos: tuple[CoarsePhoto, ...]
    see_through: NDArray[np.bool_] | None

    def missed_within(self, area: Polygon) -> NDArray[np.float32]:
        """What the colours miss (ΔE00) at each coarse pixel of an area, shape (N,), N > 0."""
        inside = coverage_mask(area, self.missed_grid) >= _FULL // 2
        return self.missed[inside] if inside.any() else np.zeros(1, np.float32)

    def tones_of(self, ink: InkTable, job: Job) -> NDArray[np.uint16] | None:
        """One ink's film tones before line work; None for an ink of line work only."""
        if ink.prints == "underbase":
            return self.underbase
        if ink.prints == "highlight white":
            return self.highlight
        if ink.prints != "photo":
            return None
        number = [one.name for one in job.photo_inks].index(ink.name)
        return np.asarray(self.planes[number], np.uint16)


def separate_photos(
    laid: LaidOutJob, model: PrintModel, lattices: Sequence[PhotoLattices], plane: PlaneGrid, *,
    load: LoadPixels = load_pixels, on_grid: PhotoPlane = photo_plane,
) -> ArtSeparation:
    """Separate the job's photographs, later ones over earlier ones.

    Parameters
    ----------
    laid : LaidOutJob
        The job on its board.
    model : PrintModel
        The photograph's inks.
    lattices : sequence of PhotoLattices
        One for each photograph, in their order.
    plane : PlaneGrid
        The planes' pixels.
    load : callable
        Decodes a picture; one that keeps it where several look at it.
    on_grid : callable
        Resamples a photograph to a grid; one that keeps it where it is wanted again.
    """
    job = laid.job
    photos = [art for art in laid.art if art.table.kind == "photo"]
    grid, inside = plane.grid, plane.inside
    planes = np.zeros((len(job.photo_inks), grid.rows, grid.columns), np.uint16)
    beneath, above = (np.zeros((1, grid.rows, grid.columns), np.uint16) if ink else None
                      for ink in (job.underbase, job.highlight_white))
    coarse = grid_over(laid.area.image_bounds, MM_PER_INCH / min(_REACH_PPI, _ppi_of(grid)))
    missed = np.zeros((coarse.rows, coarse.columns), np.float32)
    shown: list[CoarsePhoto] = []
    opaque = np.zeros((grid.rows, grid.columns), np.bool_) if any(
        art.artwork.has_alpha or art.table.opacity for art in photos) else None
    for art, lattice in zip(photos, lattices, strict=True):
        seen = with_opacity(
            on_grid(art.artwork, art.placed, grid, load=load, fill_mm=art.fill_reach_mm), art,
            laid.job, grid)
        if opaque is not None:
            opaque |= seen.cover > 127
        levels = hand_levels(art.table, art.artwork.colour, int(np.iinfo(seen.rgb.dtype).max))
        for tones, table in ((planes, lattice.inks), (beneath, lattice.underbase),
                             (above, lattice.highlight)):
            if tones is not None and table is not None:
                separate_over(tones, seen.rgb, seen.cover, table, levels=levels,
                              pixel_mm=grid.pixel_mm)
        rgb, cover = _coarse(seen, coarse)
        _lay_over(missed, colours_missed(rgb, lattice.inks, levels=levels), cover)
        shown.append(CoarsePhoto(rgb=rgb, there=cover > 127, colour=art.artwork.colour))
    for number, ink in enumerate(job.photo_inks):
        if job.choke_mm_of(ink):
            planes[number] = choked(planes[number], job.choke_mm_of(ink) / grid.pixel_mm)
    return ArtSeparation(planes=planes, underbase=_drawn_in(job, job.underbase, beneath, grid),
                         highlight=_drawn_in(job, job.highlight_white, above, grid), grid=grid,
                         inside=inside, model=model,
                         lattices=tuple(lattice.inks for lattice in lattices), missed=missed,
                         missed_grid=coarse, photos=tuple(shown),
                         see_through=None if opaque is None else
                         _within(photos, grid) & inside & ~opaque)


def useful_ppi(job: Job) -> float:
    """Resolution (ppi) of a photograph beyond which the job's rulings show no more of it."""
    rulings = [job.ruling_of(ink).lpi for ink in job.photo_inks]
    return _MOST_PIXELS_PER_LINE * max(rulings, default=45.0)


def plane_grid(laid: LaidOutJob, finest_ppi: float | None = None) -> RasterGrid:
    """The pixels of a job's planes: as fine as its photographs and rulings have use for.

    Parameters
    ----------
    laid : LaidOutJob
        The job on its board.
    finest_ppi : float, optional
        No finer than this, for a quick look.
    """
    photos = [art for art in laid.art if art.table.kind == "photo"]
    return grid_over(laid.area.image_bounds,
                     MM_PER_INCH / _plane_ppi(laid, photos, finest_ppi))


def plane_pixels(area: TopsheetArea, grid: RasterGrid) -> PlaneGrid:
    """Which of a grid's pixels lie in the printed area."""
    return PlaneGrid(grid=grid, inside=coverage_mask(area.printed, grid) >= _FULL // 2)


def coarse_tones(job: Job, separation: ArtSeparation) -> CoarseTones:
    """A separation's tones averaged over the pixels of its coarse grid."""
    grid = separation.missed_grid
    size = grid.columns, grid.rows
    planes = [separation.tones_of(ink, job) for ink in job.ink]
    return CoarseTones(grid=grid, planes=tuple(None if plane is None else np.asarray(
        cv2.resize(plane, size, interpolation=cv2.INTER_AREA), np.uint16) for plane in planes))


def _within(photos: list[ArtOnBoard], grid: RasterGrid) -> NDArray[np.bool_]:
    """Pixels wholly within the edges of some photograph."""
    edges = union_all([art.printed_polygon for art in photos]) if photos else Polygon()
    return np.asarray(coverage_mask(edges, grid) == _FULL)


def _plane_ppi(laid: LaidOutJob, photos: list[ArtOnBoard], finest_ppi: float | None) -> float:
    useful = useful_ppi(laid.job)
    native = max((art.placed.ppi for art in photos), default=_COARSEST_PPI)
    choked_inks = any(laid.job.choke_mm_of(ink) > 0 for ink in laid.job.ink)
    ppi = max(COARSEST_EDGE_PPI if choked_inks else _COARSEST_PPI, min(useful, native))
    return ppi if finest_ppi is None else min(ppi, finest_ppi)


def _drawn_in(job: Job, ink: InkTable | None, tones: NDArray[np.uint16] | None,
              grid: RasterGrid) -> NDArray[np.uint16] | None:
    """A white choked within the art; its film cuts it to the choked printed area."""
    if tones is None or ink is None:
        return None
    return choked(tones[0], job.choke_mm_of(ink) / grid.pixel_mm)


def _coarse(seen: ArtPlane, coarse: RasterGrid) -> tuple[Any, NDArray[np.uint8]]:
    """A photograph and its cover on the coarse grid."""
    rgb, cover = (cv2.resize(part, (coarse.columns, coarse.rows), interpolation=cv2.INTER_AREA)
                  for part in (seen.rgb, seen.cover))
    return np.asarray(rgb, seen.rgb.dtype), np.asarray(cover, np.uint8)


def _ppi_of(grid: RasterGrid) -> float:
    return MM_PER_INCH / grid.pixel_mm


def _lay_over(missed: NDArray[np.float32], over: NDArray[np.float32],
              cover: NDArray[np.uint8]) -> None:
    """Lay what one photograph misses over what is there, as far as it covers."""
    np.copyto(missed, over, where=cover == 255)
    rim = (cover > 0) & (cover < 255)
    share = cover[rim].astype(np.float32) / 255
    missed[rim] = missed[rim] * (1 - share) + over[rim] * share
