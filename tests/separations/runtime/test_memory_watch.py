"""The watch over a command's memory ends it with a sentence, whatever its main thread does."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import click
import pytest

from separations.commands.memory_limit import memory_bound

ROOT = Path(__file__).parents[3]
#: A command whose work is put in the place of `check`'s, with a bound of 600 MiB.
_WORK = """
import sys
import click
import numpy as np
from separations import command_line

def work():
    {work}

command_line.topsheet.commands["check"].callback = lambda **_: work()
sys.argv = ["topsheet", "check", "x.toml", "--memory", "600 MiB"]
command_line.main()
"""
#: Memory taken step by step; at once, by a library that lets go of the interpreter's lock only at
#: its end; and by a thread that the main thread waits for.
TAKEN = {
    "step by step": "kept = [np.ones(2**20) for _ in range(2000)]",
    "in one long call": "from shapely import points, union_all, buffer; "
                        "buffer(points(np.random.default_rng(0).uniform(0, 1e4, (300_000, 2))), 1, "
                        "quad_segs=200)",
    "by a thread": "from concurrent.futures import ThreadPoolExecutor as P; "
                   "P().submit(lambda: [np.ones(2**20) for _ in range(2000)]).result()",
}


@pytest.mark.parametrize("taken", TAKEN)
def test_a_command_that_takes_too_much_ends_with_a_sentence(taken: str) -> None:
    begun = time.monotonic()
    done = subprocess.run([sys.executable, "-c", _WORK.format(work=TAKEN[taken])], cwd=ROOT,
                          capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 2, (done.stderr, time.monotonic() - begun)
    (sentence,) = done.stderr.splitlines()
    assert "found a need for more than 600 MiB of memory" in sentence
    assert "--memory" in sentence


def test_a_command_within_its_bound_is_left_alone() -> None:
    done = subprocess.run([sys.executable, "-c", _WORK.format(work="print('done')")], cwd=ROOT,
                          capture_output=True, text=True, check=False, timeout=60)
    assert (done.returncode, done.stdout.strip(), done.stderr) == (0, "done", "")


@pytest.mark.parametrize(("text", "bound"), [("3 GB", 3 * 10**9), ("2048MiB", 2**31),
                                             ("1.5 gib", 3 * 2**29)])
def test_bounds_as_they_are_written(text: str, bound: int) -> None:
    assert memory_bound(text) == bound


@pytest.mark.parametrize("text", ["", "3", "many GB", "100 MB", "-3 GB", "nan GB", "1e9 GB"])
def test_bounds_that_are_none(text: str) -> None:
    with pytest.raises(click.BadParameter, match="would do"):
        memory_bound(text)
