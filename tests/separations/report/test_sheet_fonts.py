"""The operator's sheet has every letter that a job's names may hold, in plain and in bold."""

from __future__ import annotations

import pytest
from fontTools.ttLib import TTFont

from preflight.vector_art.lettering import SHIPPED_BOLD, SHIPPED_FONT


@pytest.mark.parametrize("letters", ["µ", "μ", "Δ", "σ", "Ωαβ", "Ж", "É", "≥", "−", "°"])
def test_both_faces_have_it(letters: str) -> None:
    for path in (SHIPPED_FONT, SHIPPED_BOLD):
        with TTFont(path, lazy=True) as font:
            assert not [c for c in letters if ord(c) not in font.getBestCmap()]
