"""A process that makes jobs, one after another, as told by lines of JSON on its standard input.

It is a program of its own, so that one job that fails, or that the system ends, takes nothing with
it, and libraries and compiled code are loaded once for many. When whoever began it is gone, its
input ends, and it leaves as after Ctrl-C.
"""

from __future__ import annotations

import json
import os
import signal
import sys
import threading
from io import TextIOWrapper
from queue import SimpleQueue
from typing import Any

from separations.commands.job_order import made_by_order, tidy_up
from separations.commands.stop_signals import Stopped, stops_like_ctrl_c
from separations.runtime.compiled_code import find_place_for_compiled_code
from separations.runtime.free_memory import return_large_blocks
from separations.runtime.interpreter import settle_interpreter


def serve(answers: TextIOWrapper) -> None:
    """Make what is told until there is no more; each job is answered by lines on ``answers``."""
    orders: SimpleQueue[dict[str, Any] | None] = SimpleQueue()
    idle = threading.Event()
    idle.set()
    threading.Thread(target=_listen, args=(orders, idle), daemon=True).start()
    _answer(answers, ready=True)
    while (order := orders.get()) is not None:
        told = _made(order, answers)
        idle.set()
        _answer(answers, **told)
        tidy_up()


def _made(order: dict[str, Any], answers: TextIOWrapper) -> dict[str, Any]:
    def progress(done: int, total: int) -> None:
        _answer(answers, done=done, total=total)

    return {"ended": True, **made_by_order(order, progress)}


def _listen(orders: SimpleQueue[dict[str, Any] | None], idle: threading.Event) -> None:
    for line in sys.stdin:
        idle.clear()
        orders.put(json.loads(line))
    orders.put(None)
    if not idle.is_set():  # the caller has gone
        os.kill(os.getpid(), signal.SIGTERM)


def _answer(answers: TextIOWrapper, **told: Any) -> None:
    answers.write(json.dumps(told) + "\n")
    answers.flush()


def main() -> None:
    """Serve on standard output; what libraries print there goes to standard error instead."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the caller gets it too, and ends this
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)
    find_place_for_compiled_code()
    return_large_blocks()
    settle_interpreter()
    try:
        with stops_like_ctrl_c():
            serve(answers)
    except (Stopped, BrokenPipeError):
        os._exit(1)


if __name__ == "__main__":
    main()
