"""From photographs on the board to tone planes, each through its lattice."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely import Polygon, union_all

from preflight.art.art_plane import ArtPlane, photo_plane
from preflight.art.artwork_pixels import load_pixels
from preflight.art.kept_pixels import LoadPixels
from preflight.board.area_mask import coverage_mask
from preflight.facts.submission import ArtOnBoard
from preflight.facts.tone_facts import ToneFacts, densest_place, ink_facts, tone_sum_facts
from preflight.frames.raster_grid import RasterGrid, grid_over
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from preflight.units import MM_PER_INCH
from separations.colour.job_inks import bare_wood_model, photo_model
from separations.colour.print_model import PrintModel
from separations.planes.choke import choked
from separations.planes.gamut import OUT_OF_REACH, gamut_report
from separations.planes.ink_lattice import LATTICE_NODES, InkLattice, build_ink_lattice
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.opacity_mask import with_opacity
from separations.planes.separation import separate_over
from separations.planes.underbase import underbase_lattice

#: A photograph finer than this on the board shows no more on the film, in pixels per line.
_MOST_PIXELS_PER_LINE = 4.5
_COARSEST_PPI = 72.0
#: Resolution of the map of colours out of reach (ppi).
_REACH_PPI = 36.0
_FULL = 65_535


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ArtSeparation:
    """The photographs as film tones.

    Attributes
    ----------
    planes : ndarray of uint16, shape (k, rows, columns)
        Film tones of the photograph's inks, 65535 for 100 %; zero where there is no art.
    underbase : ndarray of uint16, shape (rows, columns), or None
        Film tones of the underbase, choked, if the job has one.
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
    see_through : ndarray of bool, shape (rows, columns)
        Within the photographs' edges, but nowhere opaque.
    """

    planes: NDArray[np.uint16]
    underbase: NDArray[np.uint16] | None
    grid: RasterGrid
    inside: NDArray[np.bool_]
    model: PrintModel
    lattices: tuple[InkLattice, ...]
    missed: NDArray[np.float32]
    missed_grid: RasterGrid
    see_through: NDArray[np.bool_]

    def missed_within(self, area: Polygon) -> NDArray[np.float32]:
        """What the colours miss (ΔE00) at each coarse pixel of an area, shape (N,), N > 0."""
        inside = coverage_mask(area, self.missed_grid) >= _FULL // 2
        return self.missed[inside] if inside.any() else np.zeros(1, np.float32)

    def tones_of(self, ink: InkTable, job: Job) -> NDArray[np.uint16] | None:
        """One ink's film tones before line work; None for an ink of line work only."""
        if ink.prints == "underbase":
            return self.underbase
        return self.planes[job.photo_inks.index(ink)] if ink.prints == "photo" else None


def separate_photos(laid: LaidOutJob, *, finest_ppi: float | None = None,
                    load: LoadPixels = load_pixels) -> ArtSeparation:
    """Separate the job's photographs, later ones over earlier ones.

    Parameters
    ----------
    laid : LaidOutJob
        The job on its board.
    finest_ppi : float, optional
        Work no finer than this (for a quick look); default as fine as the art and the ruling
        have use for.
    load : callable
        Decodes a picture; one that keeps it where several look at it.
    """
    job = laid.job
    photos = [art for art in laid.art if art.table.kind == "photo"]
    grid = grid_over(laid.area.image_bounds, MM_PER_INCH / _plane_ppi(laid, photos, finest_ppi))
    model = photo_model(job)
    planes = np.zeros((len(job.photo_inks), grid.rows, grid.columns), np.uint16)
    beneath = np.zeros((1, grid.rows, grid.columns), np.uint16) if job.underbase else None
    coarse = grid_over(laid.area.image_bounds, MM_PER_INCH / min(_REACH_PPI, _ppi_of(grid)))
    missed = np.zeros((coarse.rows, coarse.columns), np.float32)
    opaque = np.zeros((grid.rows, grid.columns), np.bool_)
    known: dict[object, InkLattice] = {}
    lattices = []
    for art in photos:
        colour = art.artwork.colour
        lattice = known.get(colour) or _lattice(laid, model, art)
        known[colour] = lattice
        lattices.append(lattice)
        seen = with_opacity(
            photo_plane(art.artwork, art.placed, grid, load=load, fill_mm=art.fill_reach_mm), art,
            laid.job, grid)
        opaque |= seen.cover > 127
        separate_over(planes, seen.rgb, seen.cover, lattice)
        if beneath is not None:
            separate_over(beneath, seen.rgb, seen.cover, _underbase_lattice(job, model, lattice))
        _lay_over(missed, *_missed_by(seen, lattice, coarse))
    inside = coverage_mask(laid.area.printed, grid) >= _FULL // 2
    for number, ink in enumerate(job.photo_inks):
        if job.choke_mm_of(ink):
            planes[number] = choked(planes[number], job.choke_mm_of(ink) / grid.pixel_mm)
    return ArtSeparation(planes=planes, underbase=_drawn_in(job, beneath, inside, grid), grid=grid,
                         inside=inside, model=model, lattices=tuple(lattices), missed=missed,
                         missed_grid=coarse, see_through=_within(photos, grid) & inside & ~opaque)


def measure_tones(laid: LaidOutJob, separation: ArtSeparation) -> ToneFacts | None:
    """What the photograph's planes hold, for the checks; None without a photograph."""
    inks = laid.job.photo_inks
    if not separation.lattices:
        return None
    labs = separation.model.primaries_lab
    facts = tuple(
        ink_facts(plane, separation.inside, separation.grid, name=ink.name,
                  lightness=float(labs[1 << number][0]), ends=_ends_held(laid, number))
        for number, (ink, plane) in enumerate(zip(inks, separation.planes, strict=True)))
    greatest, where = tone_sum_facts(separation.planes, separation.inside, separation.grid)
    missed = separation.missed_within(laid.area.printed)
    area = max(1, int(np.count_nonzero(separation.inside)))
    return ToneFacts(
        inks=facts, greatest_sum=greatest, place_of_sum=where,
        share_see_through=int(np.count_nonzero(separation.see_through)) / area,
        place_see_through=densest_place(separation.see_through, separation.grid),
        share_out_of_reach=float(np.mean(missed > OUT_OF_REACH)),
        mean_missed_de00=float(missed.mean()))


def _within(photos: list[ArtOnBoard], grid: RasterGrid) -> NDArray[np.bool_]:
    """Pixels wholly within the edges of some photograph."""
    edges = union_all([art.printed_polygon for art in photos]) if photos else Polygon()
    return np.asarray(coverage_mask(edges, grid) == _FULL)


def _ends_held(laid: LaidOutJob, number: int) -> tuple[float, float]:
    spec = laid.job.halftone_of(laid.job.photo_inks[number])
    return spec.smallest_tone, spec.largest_tone


def _plane_ppi(laid: LaidOutJob, photos: list[ArtOnBoard], finest_ppi: float | None) -> float:
    rulings = [laid.job.ruling_of(ink).lpi for ink in laid.job.photo_inks]
    useful = _MOST_PIXELS_PER_LINE * max(rulings, default=45.0)
    native = max((art.placed.ppi for art in photos), default=_COARSEST_PPI)
    ppi = max(_COARSEST_PPI, min(useful, native))
    return ppi if finest_ppi is None else min(ppi, finest_ppi)


def _lattice(laid: LaidOutJob, model: PrintModel, art: ArtOnBoard) -> InkLattice:
    job, wanted = laid.job, laid.job.separation
    specs = [job.halftone_of(ink) for ink in job.photo_inks]
    names = [ink.name for ink in job.photo_inks]
    return build_ink_lattice(
        model, art.artwork.colour.lab(_nodes_rgb()),
        tone_sum_limit=wanted.tone_sum_limit.fraction,
        black_ink=names.index(wanted.black_ink) if wanted.black_ink else None,
        black_generation=wanted.black_generation, rendering=wanted.rendering,
        smallest_tone=[spec.separated_ends[0] for spec in specs],
        largest_tone=[spec.separated_ends[1] for spec in specs], small_dots=wanted.small_dots)


def _underbase_lattice(job: Job, model: PrintModel, lattice: InkLattice) -> InkLattice:
    assert job.underbase is not None
    smallest, largest = job.halftone_of(job.underbase).separated_ends
    return underbase_lattice(lattice, model, bare_wood_model(job),
                             smallest_tone=smallest, largest_tone=largest)


def _drawn_in(
    job: Job, beneath: NDArray[np.uint16] | None, inside: NDArray[np.bool_], grid: RasterGrid
) -> NDArray[np.uint16] | None:
    """The underbase cut to the printed area and choked, so that it never shows beside the art."""
    if beneath is None or job.underbase is None:
        return None
    return choked(np.where(inside, beneath[0], np.uint16(0)),
                  job.choke_mm_of(job.underbase) / grid.pixel_mm)


def _nodes_rgb() -> NDArray[np.float64]:
    """The lattice's colours in the photograph's own encoding, shape (33, 33, 33, 3), 0 to 1."""
    steps = np.linspace(0.0, 1.0, LATTICE_NODES)
    return np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1)


def _missed_by(
    seen: ArtPlane, lattice: InkLattice, coarse: RasterGrid
) -> tuple[NDArray[np.float32], NDArray[np.uint8]]:
    """What one photograph's colours miss on the coarse grid, and where it covers."""
    size = (coarse.columns, coarse.rows)
    rgb = cv2.resize(seen.rgb, size, interpolation=cv2.INTER_AREA)
    cover = np.asarray(cv2.resize(seen.cover, size, interpolation=cv2.INTER_AREA), np.uint8)
    return gamut_report(rgb, lattice).difference, cover


def _ppi_of(grid: RasterGrid) -> float:
    return MM_PER_INCH / grid.pixel_mm


def _lay_over(missed: NDArray[np.float32], over: NDArray[np.float32],
              cover: NDArray[np.uint8]) -> None:
    """Lay what one photograph misses over what is there, as far as it covers."""
    share = cover.astype(np.float32) / 255
    mixed = missed * (1 - share) + over * share
    missed[:] = np.where(cover == 255, over, np.where(cover == 0, missed, mixed))
