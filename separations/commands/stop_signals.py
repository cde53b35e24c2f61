"""Signals that ask the command to end clear up behind them, as Ctrl-C does."""

from __future__ import annotations

import contextlib
import signal
import threading
from collections.abc import Iterator
from types import FrameType

_SIGNALS = tuple(getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name))


class Stopped(BaseException):
    """The system or a user asked the command to end.

    Attributes
    ----------
    status : int
        The exit status that shells expect: 128 and the signal's number.
    """

    def __init__(self, number: int) -> None:
        super().__init__(signal.Signals(number).name)
        self.status = 128 + number


@contextlib.contextmanager
def stops_like_ctrl_c() -> Iterator[None]:
    """Within the block SIGTERM and SIGHUP raise `Stopped`; further ones wait for the clearing up.

    A hang-up that was to be ignored (``nohup``) still is. Elsewhere than in the main thread
    nothing is changed: signals are heard only there.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def stop(number: int, _frame: FrameType | None) -> None:
        for heard in changed:
            signal.signal(heard, signal.SIG_IGN)
        raise Stopped(number)

    changed = {number: before for number in _SIGNALS
               if (before := signal.getsignal(number)) is not signal.SIG_IGN}
    for number in changed:
        signal.signal(number, stop)
    try:
        yield
    finally:
        for number, before in changed.items():
            signal.signal(number, before)
