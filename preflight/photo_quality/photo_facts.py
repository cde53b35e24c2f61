"""What one photograph's pixels hold, measured, with where on the board each is worst."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.findings import Place


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PhotoFacts:
    """One photograph on the board; only what lies in the printed area counts.

    Attributes
    ----------
    file : str
        The artwork.
    ppi : float
        Its pixels per inch on the board, as placed.
    true_fraction : float or None
        True pixels to one of them along a line, at most 1; None when it cannot be told.
    enlarged_by : float or None
        The enlargement whose traces were found.
    is_spread : bool
        Whether it was enlarged or blurred, and is not only soft as clouds are.
    true_ppi_map : ndarray of float32, shape (rows, columns)
        True ppi on the board, tile by tile, in the file's own turn; NaN where there is no detail
        to tell by or nothing prints.
    map_to_board : ndarray of float64, shape (3, 3)
        From (column, row, 1) of the map (pixel (0, 0) spans 0 to 1) to (x, y, 1) in board mm.
    preview : ndarray of uint8, shape (rows, columns, 3)
        The photograph small, without alpha, in the file's own turn and encoding.
    preview_to_board : ndarray of float64, shape (3, 3)
        From (column, row, 1) of the preview to (x, y, 1) in board mm.
    place_softest : Place or None
        The detailed tile of least true ppi.
    block_step : float
        Height of JPEG's block edges (L*).
    block_px : float
        Side of those blocks (px); 8 unless the picture was enlarged after it was compressed.
    place_blocks : Place or None
        Where they are highest.
    stepped, missing_levels : float
        Shares (0 to 1): scan lines on stairs, levels that hold nothing.
    step_l_star : float
        Median height of the stairs' steps (L*).
    place_stepped : Place or None
        Where most of the stairs are.
    blown, blocked : float
        Shares (0 to 1) of white and black without detail.
    place_blown, place_blocked : Place or None
        Where most of them are.
    cell_noise : float
        Noise (L*) left after averaging over a halftone cell.
    noise_is_fine : bool
        Whether averaging makes it less, as it does of noise but not of texture.
    cell_ruling_lpcm : float
        The ruling of that cell.
    place_noise : Place or None
        A place with that noise and little else: in the quietest tenth.
    filter_marks : float
        Marks of a noise filter (own scale, above 1 where one was at work).
    place_filtered : Place or None
        Where smoothing anew changes least.
    """

    file: str
    ppi: float
    true_fraction: float | None
    enlarged_by: float | None
    is_spread: bool
    true_ppi_map: NDArray[np.float32]
    map_to_board: NDArray[np.float64]
    preview: NDArray[np.uint8]
    preview_to_board: NDArray[np.float64]
    place_softest: Place | None
    block_step: float
    block_px: float
    place_blocks: Place | None
    stepped: float
    step_l_star: float
    missing_levels: float
    place_stepped: Place | None
    blown: float
    place_blown: Place | None
    blocked: float
    place_blocked: Place | None
    cell_noise: float
    noise_is_fine: bool
    cell_ruling_lpcm: float
    place_noise: Place | None
    filter_marks: float
    place_filtered: Place | None

    @property
    def true_ppi(self) -> float | None:
        """True pixels per inch on the board."""
        return None if self.true_fraction is None else self.ppi * self.true_fraction
