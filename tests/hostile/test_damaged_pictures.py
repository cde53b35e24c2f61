"""Whatever decodes to something other than it was is refused or flagged, as far as one can know.

What no decoder can know: a changed byte where pixels lie plain (TIFF without compression or with
PackBits, BMP, PPM), a changed colour of a palette or of a table, a changed number in a JPEG that
does not upset what follows, and what lies within the arithmetic code of JPEG 2000.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from tests.hostile.damaged_pictures import FORMATS, Came, all_came

#: Formats whose checksums, or codes that must come out right, tell of every damage.
TOLD = {"PNG", "PNG, palette", "PNG, 16 bit", "TIFF, deflate", "TIFF, floating point",
        "TIFF, 16-bit planes", "WebP"}
#: Of the others, the greatest share of damaged files that may pass with 1 % of their pixels changed
#: by more than 8 levels, as measured on 2,000 of each.
MAY_PASS = {"JPEG": 0.05, "JPEG, colours whole": 0.06, "JPEG, progressive": 0.03,
            "JPEG, restarts": 0.07, "TIFF, plain": 0.02, "TIFF, LZW": 0.02,
            "TIFF, PackBits": 0.02, "WebP, lossless": 0.25, "JPEG 2000": 0.8, "GIF": 0.05,
            "BMP": 0.02, "PPM": 0.02, "AVIF": 0.9}


def held(came: list[tuple[str, Came]], slack: float) -> None:
    for name, *_ in FORMATS:
        mine = [one for which, one in came if which == name]
        assert all(one.said.endswith("would do.") for one in mine if one.kind == "refused")
        lost = [one for one in mine if one.kind == "missed" and one.changed > 0.01]
        if name in TOLD:
            assert Counter(one.kind for one in mine)["missed"] == 0, name
        else:
            assert len(lost) <= MAY_PASS[name] * len(mine) + slack, name


def test_some_damaged_pictures_of_each_format(tmp_path: Path) -> None:
    held(list(all_came(8, tmp_path)), 2)


@pytest.mark.long
def test_two_thousand_damaged_pictures_of_each_format(tmp_path: Path) -> None:
    held(list(all_came(2000, tmp_path)), 0)
