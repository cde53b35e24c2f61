"""sRGB by formula against the library colour-science.

Oracle: colour-science (PyPI ``colour-science``), sRGB of IEC 61966-2-1:1999 decoded, adapted from
D65 to D50 by Bradford, then CIELAB of CIE 15. Its D50 is (0.34570, 0.35850); ours is the rounded
white of ICC's connection space, hence the small allowance.
"""

from __future__ import annotations

import warnings

import numpy as np

from preflight.art.source_colour import srgb

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour


def test_srgb_agrees_with_colour_science() -> None:
    rgb = np.random.default_rng(5).random((500, 3))
    d50 = np.array([0.34570, 0.35850])
    xyz = colour.RGB_to_XYZ(rgb, "sRGB", d50, chromatic_adaptation_transform="Bradford",
                            apply_cctf_decoding=True)
    lab = colour.XYZ_to_Lab(xyz, d50)
    assert np.abs(srgb(assumed=False).lab(rgb) - lab).max() < 0.06
