"""The screen's cloth: opening, open area and the ink a mesh lays down in theory."""

from __future__ import annotations

from dataclasses import dataclass

from preflight.units import UM_PER_CM

#: Fabric thickness over thread diameter where the maker's figure is not given. Published plain
#: weaves lie between 1.475 (90/225-40: 59 / 40) and 1.575 (120/305-40: 63 / 40); the limit of
#: an unflattened weave is 2. Source: NBC Meshtec screen specifications; "Mesh Matters" 2009.
TYPICAL_THICKNESS_PER_THREAD = 1.52
#: A dot as wide as one pitch meets a thread wherever it falls; a line of three thread diameters
#: prints without sawteeth (the trade tells 2 to 3). From memory, unverified.
PITCHES_OF_A_DOT, THREADS_OF_A_LINE = 1.0, 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """A plain weave, by its count and thread, with whatever its maker's sheet adds.

    Attributes
    ----------
    threads_per_cm : float
        Mesh count n (threads per cm).
    thread_um : float
        Thread diameter d (µm), as sold, before weaving.
    angle_deg : float
        Turn of the threads against the board's long axis (degrees anticlockwise).
    measured_opening_um, measured_thickness_um, measured_volume_um : float or None
        Maker's mesh opening w (µm), fabric thickness D (µm) and theoretical ink volume
        (cm³/m², which is µm); where given they win over the geometric values.
    """

    threads_per_cm: float
    thread_um: float
    angle_deg: float = 0.0
    measured_opening_um: float | None = None
    measured_thickness_um: float | None = None
    measured_volume_um: float | None = None

    @property
    def pitch_um(self) -> float:
        """Thread to thread, 10⁴ / n (µm). Source: weave geometry."""
        return UM_PER_CM / self.threads_per_cm

    @property
    def opening_um(self) -> float:
        """Mesh opening w = pitch − d (µm). Source: NBC Meshtec screen specifications."""
        if self.measured_opening_um is not None:
            return self.measured_opening_um
        return self.pitch_um - self.thread_um

    @property
    def open_area(self) -> float:
        """Open share of the cloth, (w / pitch)². Source: NBC Meshtec screen specifications."""
        return (self.opening_um / self.pitch_um) ** 2

    @property
    def thickness_um(self) -> float:
        """Fabric thickness D (µm): the maker's, else a typical multiple of the thread."""
        if self.measured_thickness_um is not None:
            return self.measured_thickness_um
        return TYPICAL_THICKNESS_PER_THREAD * self.thread_um

    @property
    def ink_volume_um(self) -> float:
        """Theoretical ink volume, open area × D (cm³/m² = µm).

        Source: spoerl.de "Theoretical ink volume".
        """
        if self.measured_volume_um is not None:
            return self.measured_volume_um
        return self.open_area * self.thickness_um

    @property
    def ink_volume_is_measured(self) -> bool:
        """Whether the theoretical ink volume rests on a maker's figure."""
        return self.measured_volume_um is not None or self.measured_thickness_um is not None

    @property
    def smallest_dot_um(self) -> float:
        """Least dot diameter that some thread always carries: opening + thread (µm).

        Source: `PITCHES_OF_A_DOT`; of a maker's opening, where there is one.
        """
        return PITCHES_OF_A_DOT * (self.opening_um + self.thread_um)

    @property
    def finest_line_um(self) -> float:
        """Least line the mesh carries without sawteeth (µm). Source: `THREADS_OF_A_LINE`."""
        return THREADS_OF_A_LINE * self.thread_um
