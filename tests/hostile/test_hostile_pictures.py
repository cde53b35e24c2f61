"""No picture hangs, floods or breaks the reader: it is read, or refused with a sentence."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.hostile.hostile_pictures import all_cases

MOST_MIB, MOST_SECONDS = 1536, 20
Measured = dict[str, dict[str, Any]]


@pytest.mark.long
def test_every_hostile_picture(tmp_path: Path, measured: Callable[[Path], Measured]) -> None:
    expected = {}
    for case in all_cases():
        (tmp_path / case.name).write_bytes(case.data)
        expected[case.name] = case.comes
    results = measured(tmp_path)
    assert results.keys() == expected.keys()
    came: Counter[str] = Counter()
    for name, result in results.items():
        said = str(result["said"])
        kind = "refused" if said.startswith("refused: ") else said
        came[kind] += 1
        assert kind in (("read", "refused") if expected[name] == "either" else (expected[name],)), \
            (name, said)
        if kind == "refused":
            assert "; " in said, said
            assert said.endswith(" would do."), said
            assert len(said) < 500 + len(str(tmp_path)), said
        assert result["mib"] < MOST_MIB, (name, result)
        assert result["seconds"] < MOST_SECONDS, (name, result)
    assert came["refused"] > 150
    assert came["read"] > 60
