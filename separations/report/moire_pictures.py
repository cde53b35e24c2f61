"""The report's maps of moiré: one for each dot shape on each cloth."""

from __future__ import annotations

from preflight.press.halftone_spec import DotShape
from preflight.press.mesh import Mesh
from separations.colour.print_model import PrintModel
from separations.measuring.moire.job_moire import tint_inks
from separations.measuring.moire.mesh_moire import TintInk
from separations.measuring.moire.moire_map import moire_map, moire_map_png, told
from separations.planes.laid_out_job import LaidOutJob
from separations.proof.shown_pictures import ReportPicture

#: How far below and above the job's own rulings the map goes.
_REACH = 1.6


def moire_pictures(laid: LaidOutJob, model: PrintModel) -> tuple[ReportPicture, ...]:
    """A map for each distinct shape and cloth of the job's halftones, its inks marked.

    Parameters
    ----------
    laid : LaidOutJob
        The job on its board.
    model : PrintModel
        Its photograph's inks.
    """
    groups: dict[tuple[DotShape, Mesh], list[TintInk]] = {}
    for _, ink in tint_inks(laid.job, model):
        groups.setdefault((ink.spec.dot_shape, ink.mesh), []).append(ink)
    return tuple(_picture(shape, mesh, inks) for (shape, mesh), inks in groups.items())


def _picture(shape: DotShape, mesh: Mesh, inks: list[TintInk]) -> ReportPicture:
    rulings = [ink.spec.ruling_lpcm for ink in inks]
    darkest = min(inks, key=lambda ink: ink.solid_y)
    made = moire_map(shape, mesh, least_lpcm=min(rulings) / _REACH,
                     most_lpcm=max(rulings) * _REACH, wood_y=darkest.wood_y,
                     solid_y=darkest.solid_y)
    return ReportPicture(
        title=f"Moiré with the mesh, {shape} dots", data=moire_map_png(made, inks),
        media_type="image/png",
        alt=f"Map of moiré with the mesh over angle and ruling, {shape} dots",
        caption=told(made, mesh, shape))
