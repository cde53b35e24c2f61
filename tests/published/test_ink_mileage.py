"""What ink takes by mesh and by kind, against published figures.

By mesh, published costs of prints.

"Controlling Ink Costs", davisint.com/control-ink-costs: one colour prints of 12 by 12 inches, half
of them covered, at 60 dollars a gallon cost 6.25 cents through 110 threads an inch, 3.8 through
156 and 2.9 through 195. Its figures are for textile inks on cloth, which take more of the mesh's
volume than wood does, and name no thread; the threads below are the usual ones. A second figure
there, 6.0 cents through 123 threads, is at odds with the 27 % that its own text says it saves, and
is left out.

By kind, what stays when dry: "UV or Not UV in ScreenPrinting Inks", uv-int.com/EN/uv/uvornot.htm:
solvents are over 50 % of many solvent inks and over 70 % of some; "How to Avoid Color Changes in
Screen Printing", screenweb.com, November 2002: pure UV inks do not evaporate. No published figure
was found for water-based screen inks.
"""

from __future__ import annotations

from itertools import combinations

import pytest

from preflight.press.mesh import Mesh
from separations.ink_need.ink_estimate import deposit_um
from separations.ink_need.stencil_build_up import OVER_MESH
from separations.planes.ink_heights import DRY_SHARE

#: Threads per inch, usual thread (µm), and dollars for a print.
PUBLISHED = {110: (80.0, 0.0625), 156: (64.0, 0.038), 195: (55.0, 0.029)}
_DOLLARS_PER_ML = 60 / 3785.41
_INKED_M2 = (12 * 0.0254) ** 2 / 2


def _published_um(per_inch: int) -> float:
    """Ink (cm³/m², which is µm) on the area that is covered."""
    return PUBLISHED[per_inch][1] / _DOLLARS_PER_ML / _INKED_M2


def _mesh(per_inch: int) -> Mesh:
    return Mesh(threads_per_cm=per_inch / 2.54, thread_um=PUBLISHED[per_inch][0])


@pytest.mark.parametrize(("coarse", "fine"), list(combinations(PUBLISHED, 2)))
def test_finer_mesh_takes_less_ink_as_published(coarse: int, fine: int) -> None:
    published = _published_um(fine) / _published_um(coarse)
    ours = deposit_um(_mesh(fine), 0.0).likely / deposit_um(_mesh(coarse), 0.0).likely
    assert ours == pytest.approx(published, rel=0.2)


@pytest.mark.parametrize("per_inch", list(PUBLISHED))
def test_cloth_takes_more_than_the_estimate_for_wood_and_less_than_half_as_much_again_as_its_most(
        per_inch: int) -> None:
    """Textile prints take all of the mesh's volume, the stencil's height and what soaks in."""
    mesh = _mesh(per_inch)
    ours = deposit_um(mesh, 0.15)
    published = _published_um(per_inch)
    assert ours.likely < published < 1.5 * (ours.high + OVER_MESH[2] * mesh.thickness_um)


def test_what_stays_of_an_ink_is_what_does_not_evaporate() -> None:
    """By weight; a lighter solvent takes rather more of the height than of the weight."""
    assert DRY_SHARE["uv"] == 1.0
    assert 1 - 0.70 <= DRY_SHARE["air"] <= 1 - 0.50
