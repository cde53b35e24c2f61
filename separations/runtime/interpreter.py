"""How Python itself is set for work on films: who waits for whom, and when it tidies up."""

from __future__ import annotations

import gc
import sys

#: How long a thread may hold the interpreter's lock while another waits for it (s). Films are made
#: by threads that need it for a moment between two compiled loops.
_TURN_S = 0.0005
#: Thresholds of the cyclic garbage collector. With the usual ones it would go through all
#: libraries several times while they load, and hundreds of times in all.
_COLLECT_AFTER = (50_000, 20, 20)


def settle_interpreter() -> None:
    """Set both; for a process that does nothing else than what topsheet does."""
    sys.setswitchinterval(_TURN_S)
    gc.set_threshold(*_COLLECT_AFTER)


def tidy_after_job() -> None:
    """Collect what a job left, and nothing of the libraries again: they are there to stay."""
    gc.collect()
    gc.freeze()
