"""Results kept by what they were made from: what happens when making or keeping one fails."""

from __future__ import annotations

import gc
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Event
from typing import Any
from weakref import ref

import pytest

from preflight.input_problem import InputProblem
from separations.pipeline.kept_results import KeptResults
from separations.pipeline.session import Session
from separations.pipeline.stage import Look, Stage


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


class Plane:
    """A result that can be watched."""


def test_what_was_made_before_a_fault_goes_at_once(small_job: Callable[..., Path]) -> None:
    """Not when Python next looks for objects that only hold each other: planes are large."""
    made: list[ref[Plane]] = []

    def plane(_look: Look) -> Plane:
        made.append(ref(one := Plane()))
        return one

    def faulty(_look: Look) -> None:
        raise InputProblem(where="a plane", found="a fault", would_do="none")

    sound = Stage("sound", plane)
    last = Stage("faulty", faulty, needs=(sound,))
    waits = Stage("waits", lambda _look: None, needs=(last,))
    keep = KeptResults(0)
    sessions = [Session(small_job(), keep=keep)] * 3
    gc.collect()
    gc.disable()
    try:
        with ThreadPoolExecutor(len(sessions)) as pool:
            for asked in [pool.submit(one.all_of, waits, last) for one in sessions]:
                assert isinstance(asked.exception(60), InputProblem)
        del asked
        assert made
        assert [one() for one in made] == [None] * len(made)
    finally:
        gc.enable()
