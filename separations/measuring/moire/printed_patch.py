"""A patch of an even tint as it prints: the job's own dots, inked through its own cloth.

The model: ink passes where the film's dot and the cloth are both open, in proportion to how open
the cloth is; it flows out on the wood by a Gaussian of a thread's width; where at least
half as much ink lies as in a solid, it covers. Left out: the stencil's own resolution, the
squeegee, and how much darker thick ink is than thin.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.frames.raster_grid import RasterGrid
from preflight.press.halftone_spec import HalftoneSpec
from preflight.press.mesh import Mesh
from preflight.units import MM_PER_INCH
from separations.halftone.film_content import FilmContent
from separations.halftone.screening import prepare, screen_region
from separations.measuring.moire.cloth import WEAVE_SHARE, bar_share, flow_um

#: Ink (of a solid's) over which cover rises from nothing to whole, about a half: a soft edge one
#: film pixel or so wide keeps the patch from folding its own pixels. Own assumption, no source.
EDGE_SOFTNESS = 0.25


@lru_cache(maxsize=24)
def tint_dots(spec: HalftoneSpec, tone: float, pixels: int) -> NDArray[np.uint8]:
    """The film's dots of an even tint, packed; shape (pixels, pixels / 8), pixels in eighths.

    Kept until `forget_patches`, not to be written to: the same tint is printed through several
    cloths and laid on several others.

    Parameters
    ----------
    spec : HalftoneSpec
        The halftone, at the film's resolution.
    tone : float
        Film tone value, 0 to 1.
    pixels : int
        Side of the patch in film pixels, a multiple of 8.
    """
    film = patch_grid(spec.film_dpi, pixels)
    plane = replace(film, pixel_mm=film.pixel_mm * pixels / 4, rows=4, columns=4)
    tones = np.full((4, 4), round(tone * 65_535), np.uint16)
    content = FilmContent(tones=tones, tone_grid=plane, film_grid=film, spec=spec)
    packed = screen_region(prepare(content), 0, pixels)
    packed.setflags(write=False)
    return packed


def forget_patches() -> None:
    """Give back what is kept of patches."""
    tint_dots.cache_clear()
    _opening.cache_clear()


def patch_grid(film_dpi: float, pixels: int) -> RasterGrid:
    """The patch round the board's origin, in film pixels."""
    pixel_mm = MM_PER_INCH / film_dpi
    half = pixels * pixel_mm / 2
    return RasterGrid(top_x_mm=half, left_y_mm=half, pixel_mm=pixel_mm, rows=pixels,
                      columns=pixels)


def ink_passed(packed: NDArray[np.uint8], mesh: Mesh, pixel_mm: float) -> NDArray[np.float32]:
    """Ink that passes cloth and stencil, a solid's mean being 1.

    Parameters
    ----------
    packed : NDArray of uint8, shape (rows, columns / 8)
        1 = the stencil is open.
    mesh : Mesh
        The cloth, at its own angle.
    pixel_mm : float
        Side of a pixel (mm).

    Returns
    -------
    NDArray of float32, shape (rows, columns)
        Before it flows out.
    """
    from separations.measuring.moire.moire_kernels import through_dots

    opening = _opening(mesh, pixel_mm, packed.shape[0], packed.shape[1] * 8)
    out = np.empty_like(opening)
    through_dots(packed, opening, out)
    return out


@lru_cache(maxsize=1)
def _opening(mesh: Mesh, pixel_mm: float, rows: int, columns: int) -> NDArray[np.float32]:
    """Ink that passes the cloth at each pixel of a patch; all tints of a job go through it."""
    from separations.measuring.moire.moire_kernels import ink_through

    step = pixel_mm * mesh.threads_per_cm / 10.0
    angle = math.radians(mesh.angle_deg)
    cos, sin = math.cos(angle) * step, math.sin(angle) * step
    # Rows run against x and columns against y.
    row_step, column_step = (-cos, sin), (-sin, -cos)
    start = (-(row_step[0] * (rows - 1) + column_step[0] * (columns - 1)) / 2,
             -(row_step[1] * (rows - 1) + column_step[1] * (columns - 1)) / 2)
    out = np.empty((rows, columns), np.float32)
    bar = bar_share(mesh)
    ink_through(start, row_step, column_step, bar, WEAVE_SHARE, max(step, 1e-3), out)
    out /= np.float32((1 - bar) ** 2)
    out.setflags(write=False)
    return out


def cover_of(ink: NDArray[np.float32], mesh: Mesh, pixel_mm: float) -> NDArray[np.float32]:
    """Cover (0 to 1) on the wood after the ink has flown out; shape of ``ink``."""
    sigma = flow_um(mesh) / 1000 / pixel_mm
    side = 2 * math.ceil(3 * sigma) + 1
    cover = np.asarray(cv2.GaussianBlur(ink, (side, side), sigma, borderType=cv2.BORDER_REFLECT),
                       np.float32)
    cover -= np.float32(0.5)
    cover *= np.float32(1 / EDGE_SOFTNESS)
    cover += np.float32(0.5)
    return np.clip(cover, 0.0, 1.0, out=cover)


def printed_tint(spec: HalftoneSpec, mesh: Mesh, tone: float, pixels: int) -> NDArray[np.float32]:
    """An even tint printed through the mesh: cover (0 to 1), shape (pixels, pixels)."""
    pixel_mm = MM_PER_INCH / spec.film_dpi
    return cover_of(ink_passed(tint_dots(spec, tone, pixels), mesh, pixel_mm), mesh, pixel_mm)
