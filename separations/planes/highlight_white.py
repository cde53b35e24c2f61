"""White printed last, where a photograph is lighter than the wood can show."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preflight.job_file.job import Job
from separations.colour.adaptation import PrintViewer, print_viewer
from separations.colour.colorimetry import colour_difference, lab_to_xyz, xyz_to_lab
from separations.colour.inversion import end_colours, seed_tones
from separations.colour.job_inks import highlight_model, separation_model
from separations.colour.print_model import PrintModel
from separations.planes.ink_lattice import InkLattice

FloatArray = NDArray[np.float64]

#: Chroma at which the share of white that lightness asks for has fallen to 37 %: white hides the
#: ink of a strong colour, which is worth more than its lightness. Own rule, judged on photographs.
_WHITE_CHROMA = 25.0
#: White that is hardly lighter than what it lies on has nothing to give.
_LEAST_GAIN = 0.98
_HALVINGS = 16
_TONE_TOP = 65_535


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Highlights:
    """What white printed last can add.

    Attributes
    ----------
    model : PrintModel
        The photograph's inks, an underbase before them, and the white after them.
    kept : float
        Luminance of the lightest colour without that white over that of its solid: below it the
        photograph's light is printed without white.
    viewer : PrintViewer
        The eye, which takes the lightest colour without that white for white.
    """

    model: PrintModel
    kept: float
    viewer: PrintViewer

    def without_white(self, photo_lab: FloatArray) -> FloatArray:
        """A photograph's Lab as the inks below the white are asked for it; shape (..., 3)."""
        xyz = lab_to_xyz(photo_lab)
        return xyz_to_lab(xyz / np.maximum(xyz[..., 1:2], self.kept))

    def aimed_lab(self, photo_lab: FloatArray) -> FloatArray:
        """Lab D50 of the whole print that would look like the photograph; shape (..., 3)."""
        return self.viewer.print_lab(lab_to_xyz(photo_lab) / self.kept)

    def seen_lab(self, print_lab: FloatArray) -> FloatArray:
        """Lab as seen of the whole print; shape (..., 3)."""
        return xyz_to_lab(np.maximum(self.viewer.seen_xyz(print_lab), 0.0) * self.kept)


def highlights_of(job: Job) -> Highlights:
    """What the job's highlight white can add; nothing of a job without one."""
    below = separation_model(job)
    limit = min(job.separation.tone_sum_limit.fraction, float(below.ink_count))
    lightest, darkest = end_colours(seed_tones(below, limit))
    model, kept = below, 1.0
    if job.highlight_white is not None:
        model = highlight_model(job)
        solid = lab_to_xyz(model.primaries_lab[1 << (model.ink_count - 1)])[1]
        share = float(lab_to_xyz(lightest)[1] / solid)
        kept = share if share < _LEAST_GAIN else 1.0
    return Highlights(model=model, kept=kept,
                      viewer=print_viewer(lightest, darkest, job.separation.adaptation))


def with_highlights(job: Job, found: Highlights, below: InkLattice,
                    photo_lab: FloatArray) -> tuple[InkLattice, InkLattice]:
    """A lattice of inks scored with the white over it, and the white's own.

    Parameters
    ----------
    job : Job
        With a highlight white.
    found : Highlights
        From `highlights_of`.
    below : InkLattice
        Tones of the inks below the white, asked for by `Highlights.without_white`.
    photo_lab : ndarray, shape (33, 33, 33, 3), float64
        The photograph's own Lab at the nodes.

    Notes
    -----
    White is laid until the print is as light as asked; less of it the stronger the colour. It
    begins at nothing where the photograph is as light as the lightest colour without it. What is
    aimed at leads there from what is aimed at of the inks to what the eye, as far as it adapts,
    would take for the photograph's white.
    """
    ink = job.highlight_white
    assert ink is not None
    inks = below.nodes.reshape(-1, below.ink_count) / _TONE_TOP
    light = lab_to_xyz(photo_lab)[..., 1].ravel()
    lighter = light > found.kept
    aimed = _aimed(found, below.node_wanted_lab.reshape(-1, 3), photo_lab.reshape(-1, 3), light)
    room = np.clip(job.separation.tone_sum_limit.fraction - inks.sum(axis=-1), 0.0, 1.0)
    white = _as_light_as(found.model, inks, aimed[:, 0])
    white *= np.exp(-(np.hypot(photo_lab[..., 1], photo_lab[..., 2]).ravel() / _WHITE_CHROMA) ** 2)
    counted = np.floor(np.where(lighter, np.minimum(white, room), 0.0) * _TONE_TOP)
    printed = found.model.predict_lab(np.column_stack([inks, counted / _TONE_TOP]))
    shape = below.nodes.shape[:3]
    smallest, largest = job.separated_ends_of(ink)
    scored = replace(below, node_wanted_lab=aimed.reshape(*shape, 3).astype(np.float32),
                     node_difference=colour_difference(printed, aimed).reshape(shape).astype(
                         np.float32))
    return scored, replace(
        scored, ink_names=(ink.name,), tone_sum_limit=1.0,
        nodes=np.ascontiguousarray(counted.reshape(*shape, 1).astype(np.uint16)),
        node_seen_light=np.zeros(shape, np.float32), smallest_tone=np.array([smallest]),
        largest_tone=np.array([largest]))


def _aimed(found: Highlights, below: NDArray[np.float32], photo_lab: FloatArray,
           light: FloatArray) -> FloatArray:
    """Lab aimed at of the whole print, shape (N, 3), from that of the inks below the white."""
    seen = found.aimed_lab(photo_lab)
    share = np.clip((light - found.kept) / max(1.0 - found.kept, 1e-6), 0.0, 1.0)[:, None]
    aimed = below + share * (seen - below)
    aimed[:, 0] = np.where(light > found.kept, seen[:, 0], below[:, 0])
    return aimed


def _as_light_as(model: PrintModel, inks: FloatArray, light: FloatArray) -> FloatArray:
    """White (0 to 1) over inks, shape (N, k), that makes the print as light (L*) as asked."""
    low, high = np.zeros(len(inks)), np.ones(len(inks))
    for _ in range(_HALVINGS):
        tried = (low + high) / 2
        short = model.predict_lab(np.column_stack([inks, tried]))[:, 0] < light
        low, high = np.where(short, tried, low), np.where(short, high, tried)
    return low
