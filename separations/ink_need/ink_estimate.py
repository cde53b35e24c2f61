"""Ink for one board and for the run, counted from the films' own dots, as a range."""

from __future__ import annotations

from dataclasses import dataclass

from preflight.press.mesh import Mesh

#: Share of the theoretical ink volume that leaves the mesh on smooth stock: low, likely, high.
#: Trade figures (0.5 to 0.9), from memory, unverified.
TRANSFER = (0.5, 0.7, 0.9)
#: Ink lost in the run, as a share of what is printed. Trade (5 to 10 %), from memory.
RUN_LOSS = (0.05, 0.075, 0.10)
#: Ink that a set-up leaves in the screen, on squeegee and knife (ml a screen).
#: Common practice, no source: it depends on the frame and the hand.
LEFT_IN_SCREEN_ML = (80.0, 150.0, 250.0)
#: Spread put on a job's own figure for the ink left in the screen. Own rule, no source.
_OWN_FIGURE_SPREAD = (0.8, 1.0, 1.25)


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """A low, a likely and a high figure in one unit."""

    low: float
    likely: float
    high: float

    def times(self, factor: float) -> Range:
        """The range scaled by a factor."""
        return Range(low=self.low * factor, likely=self.likely * factor, high=self.high * factor)


@dataclass(frozen=True, slots=True, kw_only=True)
class InkEstimate:
    """One ink's need.

    Attributes
    ----------
    ink : str
        Its name.
    inked_cm2 : float
        Area under ink on one film (cm²), counted from its dots.
    mean_tone : float
        That area over the printed area (0 to 1).
    ink_volume_um : float
        Theoretical ink volume of its mesh (cm³/m²).
    density_g_per_ml : float
        Density of the ink.
    board_ml, run_ml : Range
        What one board takes, and the run with its loss and what stays in the screen (ml).
    left_ml : Range
        What stays in the screen and on the tools, within ``run_ml`` (ml).
    """

    ink: str
    inked_cm2: float
    mean_tone: float
    ink_volume_um: float
    density_g_per_ml: float
    board_ml: Range
    run_ml: Range
    left_ml: Range

    @property
    def board_g(self) -> Range:
        """What one board takes, in grams."""
        return self.board_ml.times(self.density_g_per_ml)

    @property
    def run_g(self) -> Range:
        """What the run takes, in grams."""
        return self.run_ml.times(self.density_g_per_ml)


def wet_height_um(mesh: Mesh) -> float:
    """Wet ink height (µm, which is cm³/m²) of a solid through a plain weave.

    Raises
    ------
    ValueError
        When the threads leave no opening.

    Notes
    -----
    Source: "How Much Ink Do You Need?", Table 1, screenweb.com, April 2000: up to 42 threads/cm
    1.82 d (1 − M d)² with M in threads/µm; 43 to 139 threads/cm 0.285 F; from 140 on 0.35 F, F
    the fabric thickness.
    """
    if mesh.opening_um <= 0:
        raise ValueError("the mesh has no opening")
    if mesh.threads_per_cm < 42.5:
        cover = mesh.threads_per_cm * 1e-4 * mesh.thread_um
        return 1.82 * mesh.thread_um * (1 - cover) ** 2
    return (0.285 if mesh.threads_per_cm < 139.5 else 0.35) * mesh.thickness_um


def deposit_um(mesh: Mesh, absorption: float) -> Range:
    """Ink laid down by a solid (µm, which is cm³/m²).

    Parameters
    ----------
    mesh : Mesh
        The cloth.
    absorption : float
        Extra share (0 to 1) that thirsty wood draws from the mesh.

    Notes
    -----
    Likely: theoretical ink volume × transfer × (1 + absorption). Low and high span the transfer
    range and the wet-height rule of `wet_height_um`, since the two published methods differ by
    up to a third. What a mesh lays down wet is the same for UV, solvent and water-based inks
    ("Screen E-Book", macdermidautotype.com: the deposit does not depend on the ink); they differ
    in their density and in what stays when dry.
    """
    volume, wet = mesh.ink_volume_um, wet_height_um(mesh)
    likely = volume * TRANSFER[1] * (1 + absorption)
    return Range(low=min(volume * TRANSFER[0], wet, likely), likely=likely,
                 high=max(volume * TRANSFER[2] * (1 + absorption), wet * (1 + absorption)))


def estimate_ink(
    *, ink: str, inked_mm2: float, printed_mm2: float, ink_volume_um: float, deposit: Range,
    density_g_per_ml: float, boards: int, left_in_screen_ml: float | None = None,
) -> InkEstimate:
    """Estimate one ink from the area that its film covers.

    Parameters
    ----------
    inked_mm2 : float
        Area of all dots of the film inside the printed area (mm²).
    printed_mm2 : float
        The printed area (mm²).
    ink_volume_um : float
        Theoretical ink volume of the mesh (cm³/m²), told in the result.
    deposit : Range
        What a solid takes, as `deposit_um` gives it (cm³/m²).
    density_g_per_ml : float
        Density of the ink (g/ml).
    boards : int
        Boards in the run.
    left_in_screen_ml : float, optional
        The shop's own figure for what stays in the screen (ml).

    Notes
    -----
    A film without a dot takes no ink, in the screen or on the board: no screen is made of it.
    """
    # 1 µm over 1 mm² is 1e-6 ml.
    board = deposit.times(inked_mm2 / 1e6)
    left = LEFT_IN_SCREEN_ML if left_in_screen_ml is None else tuple(
        left_in_screen_ml * s for s in _OWN_FIGURE_SPREAD)
    if inked_mm2 == 0:
        left = (0.0, 0.0, 0.0)
    run = Range(low=board.low * boards * (1 + RUN_LOSS[0]) + left[0],
                likely=board.likely * boards * (1 + RUN_LOSS[1]) + left[1],
                high=board.high * boards * (1 + RUN_LOSS[2]) + left[2])
    return InkEstimate(
        ink=ink, inked_cm2=inked_mm2 / 100,
        mean_tone=inked_mm2 / printed_mm2 if printed_mm2 else 0.0,
        ink_volume_um=ink_volume_um, density_g_per_ml=density_g_per_ml,
        board_ml=board, run_ml=run,
        left_ml=Range(low=left[0], likely=left[1], high=left[2]))
