"""What is made of a new text before it is asked: picture, findings, and the loupe's dots.

One thread does it, of the newest text alone, one thing after the other, and gives up at the next
stage when a newer text comes. The picture is begun at once, before the page knows what to ask;
findings come after it, so that it has both processors; what takes long waits until no hand moves.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress
from threading import Condition, Thread

from preflight.input_problem import InputProblem
from separations.pipeline.session import NotWanted
from separations.runtime.free_memory import give_back_free_memory
from separations.runtime.kept_faults import kept_fault
from separations.uses.layout_page.film_loupe import Loupe
from separations.uses.layout_page.job_looks import FoundNow, JobLooks

#: How long no edit must have come (s) before all findings and, with no loupe over the board, the
#: films' dots are begun; picture and quick findings are begun at once. Dots are separated as fine
#: as films have them and would hold up the next picture of a hand that moves again. Own rules,
#: no source.
_SLOW_AFTER_S, _DOTS_AFTER_S = 0.5, 5.0

Tell = Callable[..., None]


class SlowLooks:
    """The thread that makes them.

    Parameters
    ----------
    looks : JobLooks
        What is looked at.
    tell : callable
        Told ``("findings", revision=…)`` and ``("dots", revision=…)`` when they are there, and
        ``("fault", sentence=…)`` when they cannot be made.
    is_watched : callable
        Whether any page is open: else nothing is begun.
    """

    def __init__(self, looks: JobLooks, tell: Tell, is_watched: Callable[[], bool]) -> None:
        self._looks, self._tell, self._is_watched = looks, tell, is_watched
        self._news = Condition()
        self._changed_at = time.monotonic()
        self._done: dict[str, int] = {}
        self._stopped = False
        self._dots_wanted = False
        self.found: tuple[int, FoundNow] | None = None
        self.dots: tuple[int, Loupe] | None = None
        self._thread = Thread(target=self._work, name="slow looks", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def changed(self) -> None:
        """A newer text is there."""
        with self._news:
            self._changed_at = time.monotonic()
            if self.dots is not None and self.dots[0] != self._looks.revision:
                self.dots = None  # nobody may look at them any more, and they hold much
            self._news.notify_all()

    def want_dots(self) -> None:
        """Somebody holds a loupe over the board: make the dots before all findings."""
        with self._news:
            self._dots_wanted = True
            self._news.notify_all()

    def stop(self) -> None:
        """End when the stage that is being made is finished."""
        with self._news:
            self._stopped = True
            self._news.notify_all()

    def _work(self) -> None:
        while not self._stopped:
            job = self._next()
            if job is None:
                continue
            name, make = job
            revision = self._looks.revision
            try:
                make(revision)
            except NotWanted:
                continue
            except InputProblem as fault:
                self._tell("fault", revision=revision, sentence=fault.sentence)
            except MemoryError:
                self._tell("fault", revision=revision,
                           sentence="This machine has too little free memory for it.")
            except Exception as fault:  # one look's fault must not end all later ones
                self._tell("fault", revision=revision, sentence="The findings could not be made "
                           f"through a fault of the page's own ({type(fault).__name__}). "
                           f"{kept_fault(fault)}")
            self._done[name] = revision
            if name in ("all", "dots"):
                give_back_free_memory()

    def _next(self) -> tuple[str, Callable[[int], None]] | None:
        """What is due now; None after waiting a while."""
        soon = ("picture", 0.0, self._picture), ("quick", 0.0, self._quick)
        slow, dots = ("all", _SLOW_AFTER_S, self._all), ("dots", _DOTS_AFTER_S, self._dots)
        with self._news:
            works: tuple[tuple[str, float, Callable[[int], None]], ...] = (
                (*soon, ("dots", _SLOW_AFTER_S, self._dots), slow) if self._dots_wanted
                else (*soon, slow, dots))
            revision = self._looks.revision
            since = time.monotonic() - self._changed_at
            if self._is_watched():
                for name, after, make in works:
                    if self._done.get(name) == revision:
                        continue
                    if since >= after:
                        return name, make
                    self._news.wait(after - since)
                    return None
            self._news.wait(0.5)
            return None

    def _picture(self, _revision: int) -> None:
        with suppress(InputProblem):  # told to whoever asks for the picture
            self._looks.prepare_picture(self._looks.session)

    def _quick(self, revision: int) -> None:
        session = self._looks.session
        self._take(revision, self._looks.found_at_once(session))

    def _all(self, revision: int) -> None:
        session = self._looks.session
        self._take(revision, self._looks.found(
            session, lambda: self._looks.revision == revision))

    def _dots(self, revision: int) -> None:
        self._dots_wanted = False
        session = self._looks.session
        self.dots = None  # the former ones need not be held while these are made
        loupe = self._looks.loupe(session)
        if self._looks.revision == revision:
            self.dots = revision, loupe
            self._tell("dots", revision=revision)

    def _take(self, revision: int, found: FoundNow) -> None:
        if self._looks.revision == revision:
            self.found = revision, found
            self._tell("findings", revision=revision, pending=found.pending)
