"""How high the inks lie on each other, and which of them meet."""

from __future__ import annotations

from dataclasses import dataclass

from preflight.findings import Place


@dataclass(frozen=True, slots=True, kw_only=True)
class InkLayer:
    """One ink's solid.

    Attributes
    ----------
    ink : str
        Its name.
    wet_um, dry_um : float
        Height of its solid as it is laid down, and cured or dried (µm).
    lightness : float
        CIELAB L* of the solid over white.
    opacity : float
        Contrast ratio, over black over white (0 to 1); 0 where it is not known.
    """

    ink: str
    wet_um: float
    dry_um: float
    lightness: float
    opacity: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlap:
    """Two inks that are not to lie on each other, and how much of them does.

    Attributes
    ----------
    upper, lower : str
        The ink printed later, and the one beneath it.
    mm2 : float
        Area in which both print (mm²), by their tones on a coarse grid.
    place : Place or None
        Where most of it lies.
    """

    upper: str
    lower: str
    mm2: float
    place: Place | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerFacts:
    """All inks' layers.

    Attributes
    ----------
    inks : tuple of InkLayer
        In print order.
    wet_um, dry_um : float
        Greatest height of all inks on each other, wet and dry (µm), as the mean of dots and
        ground.
    place : Place or None
        Where it stands.
    overlaps : tuple of Overlap
        For each pair that the job declares incompatible.
    """

    inks: tuple[InkLayer, ...]
    wet_um: float
    dry_um: float
    place: Place | None
    overlaps: tuple[Overlap, ...]
