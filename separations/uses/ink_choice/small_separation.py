"""A small separation of the job's photographs with any set of inks: its proof and its errors."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preflight.frames.raster_grid import RasterGrid
from preflight.job_file.job import Job
from separations.colour.colorimetry import colour_difference
from separations.colour.gamut_mapping import common_aim_lab
from separations.colour.print_model import PrintModel, predict_image_lab
from separations.planes.gamut import gamut_report
from separations.planes.ink_lattice import LATTICE_NODES, InkLattice, build_ink_lattice
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.separation import separate
from separations.proof.soft_proof import ProofModels, board_proof, surroundings
from separations.uses.ink_choice.photo_colours import PhotoLayer, photo_layers

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SmallPhoto:
    """The photographs on a coarse grid of the board.

    Attributes
    ----------
    white_lab, black_lab : ndarray, shape (3,), float64
        Where sets are compared from: Lab D50 wanted of the photograph's white and black.
    """

    laid: LaidOutJob
    layers: tuple[PhotoLayer, ...]
    grid: RasterGrid
    white_lab: FloatArray
    black_lab: FloatArray

    @classmethod
    def of(cls, laid: LaidOutJob, ppi: float, white_lab: FloatArray,
           black_lab: FloatArray) -> SmallPhoto:
        """Read the photographs at that many pixels an inch on the board."""
        layers, grid = photo_layers(laid, ppi)
        return cls(laid=laid, layers=layers, grid=grid, white_lab=white_lab, black_lab=black_lab)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SmallProof:
    """The board with a set of inks.

    Attributes
    ----------
    srgb : ndarray of uint8, shape (columns, rows, 3)
        Nose to the right, as the job's rendering has it with these inks.
    mean_de00 : float
        Mean dE00 against what that rendering asks of this set.
    """

    srgb: NDArray[np.uint8]
    mean_de00: float


def small_proof(photo: SmallPhoto, models: ProofModels) -> SmallProof:
    """Separate the photographs with a set of inks and draw the board.

    Parameters
    ----------
    photo : SmallPhoto
        The photographs.
    models : ProofModels
        Wood and inks, in print order; and the same on lighter wood.

    Notes
    -----
    Through the same lattice, interpolation, tone ends and print model as the films; black
    generation has no part, since a stock list does not say which ink is the black one.
    """
    job, model = photo.laid.job, models.wood
    planes = np.zeros((model.ink_count, photo.grid.rows, photo.grid.columns), np.uint16)
    missed = []
    for layer, nodes in _with_nodes(photo):
        lattice = _lattice(job, model, nodes)
        planes[:, layer.shown] = separate(layer.rgb, lattice)[:, layer.shown]
        missed.append(gamut_report(layer.rgb, lattice, cover=layer.shown).mean_difference)
    around = surroundings(photo.grid, photo.laid.area.trim, job.wood.figure_seed)
    srgb = board_proof(planes, models, around)
    return SmallProof(srgb=srgb, mean_de00=_mean(photo, missed))


def confirmed_mean(photo: SmallPhoto, model: PrintModel) -> float:
    """Mean dE00 of a separation for the colours by which sets are compared.

    The photographs go through lattice, interpolation and tone ends, and the print model tells
    what comes out, pixel by pixel.
    """
    missed = []
    for layer, nodes in _with_nodes(photo):
        lattice = _lattice(photo.laid.job, model, nodes, _wanted(photo, nodes))
        printed = predict_image_lab(separate(layer.rgb, lattice), model)[layer.shown]
        shown = layer.rgb[layer.shown] / np.iinfo(layer.rgb.dtype).max
        wanted = _wanted(photo, layer.colour.lab(shown))
        missed.append(float(colour_difference(printed, wanted).mean()))
    return _mean(photo, missed)


def _with_nodes(photo: SmallPhoto) -> Iterator[tuple[PhotoLayer, FloatArray]]:
    """Each photograph with Lab of the lattice's nodes in its encoding."""
    steps = np.linspace(0.0, 1.0, LATTICE_NODES)
    rgb = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1)
    for layer in photo.layers:
        yield layer, layer.colour.lab(rgb)


def _mean(photo: SmallPhoto, values: list[float]) -> float:
    counts = [int(layer.shown.sum()) for layer in photo.layers]
    return float(np.average(values, weights=counts))


def _wanted(photo: SmallPhoto, lab: FloatArray) -> FloatArray:
    return common_aim_lab(lab, photo.white_lab, photo.black_lab,
                          photo.laid.job.separation.adaptation)


def _lattice(job: Job, model: PrintModel, node_lab: FloatArray,
             aimed: FloatArray | None = None) -> InkLattice:
    plain = replace(job.ink[0], mesh=None, ruling=None, dot_shape=None)
    smallest, largest = job.separated_ends_of(plain)
    return build_ink_lattice(
        model, node_lab, tone_sum_limit=job.separation.tone_sum_limit.fraction,
        rendering=job.separation.rendering, adaptation=job.separation.adaptation,
        smallest_tone=smallest, largest_tone=largest, small_dots=job.separation.small_dots,
        aimed=aimed)
