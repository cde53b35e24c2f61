"""Results kept by what they were made from: what happens when making or keeping one fails."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Event
from typing import Any

import pytest

from separations.pipeline.kept_results import KeptResults


@pytest.mark.parametrize("fails", ["making", "keeping"])
def test_nobody_waits_in_vain_for_a_result_that_fails(
        fails: str, monkeypatch: pytest.MonkeyPatch) -> None:
    keep, begun, go_on = KeptResults(), Event(), Event()

    def make() -> str:
        begun.set()
        assert go_on.wait(10)
        if fails == "making":
            raise OSError("no room")
        return "made"

    def fail(_made: Any) -> Any:
        raise OSError("no room")

    if fails == "keeping":
        monkeypatch.setattr("separations.pipeline.kept_results.blocks_held", fail)
    with ThreadPoolExecutor(2) as pool:
        first = pool.submit(keep.result, "digest", make)
        assert begun.wait(10)
        second = pool.submit(keep.result, "digest", lambda: "made by the second")
        go_on.set()
        with pytest.raises(OSError, match="no room"):
            first.result(10)
        if fails == "making":  # the second may have come when the first had failed
            assert second.exception(10) is None or isinstance(second.exception(), OSError)
        else:
            assert isinstance(second.exception(10), OSError)
    monkeypatch.undo()
    assert keep.result("digest", lambda: "later") in {"later", "made by the second"}
