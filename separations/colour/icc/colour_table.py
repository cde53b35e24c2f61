"""From colour to film tones: the inverse of the print model as curves and a table."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from separations.colour.colorimetry import (
    colour_difference,
    lab_to_xyz,
    srgb_to_xyz,
    xyz_to_lab,
    xyz_to_srgb,
)
from separations.colour.icc.device_table import (
    Medium,
    area_curves,
    photo_lab_of_perceptual,
    turned_curves,
)
from separations.colour.icc.icc_encoding import Pipeline, decoded_lab, encoded_lab
from separations.colour.inversion import (
    Seeds,
    TonePreferences,
    black_wishes,
    end_colours,
    seed_tones,
)
from separations.colour.node_tones import solved_nodes
from separations.colour.print_model import PrintModel
from separations.colour.rendering import RenderedColours, rendered_colours
from separations.colour.steady_courses import lattice_rgb, steadied

FloatArray = NDArray[np.float64]

#: Of the nodes along an axis, so many at each end of a* and b* lie beyond the colours that matter.
_OUTER_NODES = 3
_CURVE_SAMPLES = 4096
#: Room (Lab units) round the colours that matter that the close nodes cover, too.
_ROOM = 4.0
#: Beside the weights of CIEDE2000, for colours out of reach: hue first.
_HUE_WEIGHT = 2.0
#: A colour is within the gamut where the inks come nearer to it than this (dE00). Own rule.
_WITHIN_DE00 = 1.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Separating:
    """How colours become inks.

    Attributes
    ----------
    model : PrintModel
        Wood and the inks that colours are made of, in print order.
    strongest : ndarray, shape (k,), float64
        The film tone that full tone of each of the model's inks stands for, 0 to 1.
    preferences : TonePreferences
        Limits and wishes.
    adaptation : float
        How far the eye takes the lightest printable colour for white, 0 to 1.
    """

    model: PrintModel
    strongest: FloatArray
    preferences: TonePreferences
    adaptation: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ColourNodes:
    """Where the nodes of a table over Lab lie.

    Attributes
    ----------
    lab : ndarray, shape (m, m, m, 3), float64
        Relative Lab of each node.
    before : ndarray, shape (3, T), float64
        Curves that lead encoded Lab to the nodes.
    """

    lab: FloatArray
    before: FloatArray


def photo_nodes(count: int) -> ColourNodes:
    """Nodes that lie close where photographs have colours, ``count`` along each axis."""
    corners = np.stack(np.meshgrid(*[[0.0, 1.0]] * 3), axis=-1).reshape(-1, 3)
    return colour_nodes(xyz_to_lab(srgb_to_xyz(corners)), count)


def colour_nodes(colours: FloatArray, count: int) -> ColourNodes:
    """Nodes that lie close where some colours lie, with the greys on nodes of their own.

    Parameters
    ----------
    colours : ndarray, shape (N, 3), float64
        Relative Lab of colours spread over all that matter.
    count : int
        Nodes along each axis, a multiple of 4 and one.
    """
    grid = np.linspace(0.0, 1.0, _CURVE_SAMPLES)
    axes, curves = [np.linspace(0.0, 1.0, count)], [grid]
    for axis in (1, 2):
        nodes = _spaced(float(colours[:, axis].min()) - _ROOM,
                        float(colours[:, axis].max()) + _ROOM, count)
        lab = np.zeros((count, 3))
        lab[:, axis] = nodes
        shares = encoded_lab(lab)[:, axis]
        axes.append(shares)
        curves.append(np.interp(grid, shares, np.linspace(0.0, 1.0, count)))
    shares = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1)
    return ColourNodes(lab=decoded_lab(shares), before=np.stack(curves))


def _spaced(low: float, high: float, count: int) -> FloatArray:
    """Nodes from -128 to 127, evenly close from low to high, one of them at nought."""
    low, high = max(min(low, -8.0), -120.0), min(max(high, 8.0), 120.0)
    inner = count - 1 - 2 * _OUTER_NODES
    below = min(max(round(inner * -low / (high - low)), 1), inner - 1)
    step = max(-low / below, high / (inner - below))
    first, last = -below * step, (inner - below) * step
    if first <= -127.0 or last >= 126.0:
        first, last = max(first, -120.0), min(last, 120.0)
    return np.concatenate([
        np.linspace(-128.0, first, _OUTER_NODES + 1)[:-1],
        np.linspace(first, 0.0, below + 1)[:-1], np.linspace(0.0, last, inner - below + 1),
        np.linspace(last, 127.0, _OUTER_NODES + 1)[1:]])


def colorimetric_tones(separating: Separating, nodes: ColourNodes, medium: Medium, seeds: Seeds
                       ) -> FloatArray:
    """Tones (m, m, m, k) that print nearest each node's colour."""
    return _white_kept(_solved(separating, medium.measured_lab(nodes.lab), seeds), nodes, seeds)


def rendered_tones(separating: Separating, nodes: ColourNodes, seeds: Seeds, rendering: str
                   ) -> FloatArray:
    """Tones (m, m, m, k) for a photograph with each node's colour, brought within reach."""
    photo = photo_lab_of_perceptual(nodes.lab)
    limit = separating.preferences.tone_sum_limit

    def rendered(lab: FloatArray) -> RenderedColours:
        return rendered_colours(lab, separating.model, limit, end_colours(seeds),
                                adaptation=separating.adaptation, rendering=rendering)

    wanted = rendered(photo).wanted_lab + _steadied_moves(photo, rendered)
    return _white_kept(_solved(separating, wanted, seeds), nodes, seeds)


def _steadied_moves(photo_lab: FloatArray,
                    rendered: Callable[[FloatArray], RenderedColours]) -> FloatArray:
    """How far the aims (..., 3) move that films of an sRGB photograph are made for."""
    from scipy.interpolate import RegularGridInterpolator

    nodes = xyz_to_lab(srgb_to_xyz(lattice_rgb()))
    colours = rendered(nodes)
    if not colours.within_reach or colours.reach is None:
        return np.zeros_like(photo_lab)
    moves = steadied(colours.wanted_lab, nodes, colours.reach) - colours.wanted_lab
    srgb = np.clip(xyz_to_srgb(lab_to_xyz(photo_lab)), 0.0, 1.0)
    steps = np.linspace(0.0, 1.0, len(moves))
    return np.asarray(RegularGridInterpolator((steps,) * 3, moves)(srgb))


def out_of_gamut(separating: Separating, nodes: ColourNodes, medium: Medium, tones: FloatArray
                 ) -> Pipeline:
    """A table that is nought where a node's colour can be printed, else 1."""
    printed = medium.relative_lab(separating.model.predict_lab(tones))
    beyond = colour_difference(printed, nodes.lab) > _WITHIN_DE00
    return Pipeline(before=nodes.before, table=beyond[..., None].astype(np.float64),
                    behind=np.linspace(0.0, 1.0, 2)[None])


def tone_table(separating: Separating, nodes: ColourNodes, tones: FloatArray,
               channels: Sequence[int | None]) -> Pipeline:
    """Curves and table to the profile's channels; each is one of the model's inks, or none."""
    curves = area_curves(separating.model)
    samples = np.linspace(0.0, 1.0, curves.shape[1])
    table = np.zeros((*tones.shape[:3], len(channels)))
    behind = np.tile(samples, (len(channels), 1))
    for channel, ink in enumerate(channels):
        if ink is not None:
            table[..., channel] = np.interp(tones[..., ink], samples, curves[ink])
            behind[channel] = separating.strongest[ink] * turned_curves(curves[ink:ink + 1])[0]
    return Pipeline(before=nodes.before, table=table, behind=behind)


def _white_kept(tones: FloatArray, nodes: ColourNodes, seeds: Seeds) -> FloatArray:
    """Tones whose white is the lightest that can be printed, and not a trace of ink more."""
    a, b = (int(np.argmin(np.abs(part))) for part in (nodes.lab[0, :, 0, 1], nodes.lab[0, 0, :, 2]))
    tones[-1, a, b] = seeds.tones[int(np.argmax(seeds.lab[:, 0]))]
    return tones


def seeds_of(separating: Separating) -> Seeds:
    """Starting points of the searches."""
    return seed_tones(separating.model, separating.preferences.tone_sum_limit)


def _solved(separating: Separating, wanted: FloatArray, seeds: Seeds) -> FloatArray:
    preferences = replace(separating.preferences, hue_weight=_HUE_WEIGHT)
    white, black = end_colours(seeds)
    wishes = black_wishes(wanted.reshape(-1, 3), white, black, preferences.black_generation)
    tones = solved_nodes(separating.model, wanted, wishes.reshape(wanted.shape[:3]), seeds,
                         preferences)
    over = tones.sum(axis=-1, keepdims=True) / preferences.tone_sum_limit
    return np.asarray(np.clip(tones / np.maximum(over, 1.0), 0.0, 1.0))


def tones_through(pipeline: Pipeline, lab: FloatArray) -> FloatArray:
    """Film tones that a reader of the table finds for relative Lab (N, 3), linearly."""
    from scipy.interpolate import RegularGridInterpolator

    grid = np.linspace(0.0, 1.0, pipeline.before.shape[1])
    shares = encoded_lab(lab)
    inside = np.stack([np.interp(shares[:, axis], grid, curve)
                       for axis, curve in enumerate(pipeline.before)], axis=1)
    axes = [np.linspace(0.0, 1.0, size) for size in pipeline.table.shape[:-1]]
    found = RegularGridInterpolator(axes, pipeline.table)(inside)
    ends = np.linspace(0.0, 1.0, pipeline.behind.shape[1])
    return np.stack([np.interp(found[:, ink], ends, curve)
                     for ink, curve in enumerate(pipeline.behind)], axis=1)
