"""Jobs taken in hand: read, and known to be made anew or to be as they were."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextvars import copy_context
from dataclasses import dataclass
from threading import Event, Thread, Timer

from preflight.files.file_contents import FileContents
from preflight.input_problem import ExitStatus, InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.pipeline.made_of import is_made_of, made_of
from separations.uses.season.job_list import ListedJob
from separations.uses.season.job_need import reckoned_need_bytes
from separations.uses.season.job_result import JobResult, job_not_made, result_of_output

#: How long the run that writes to a job's output is waited for, and how often it is looked after
#: (s). Own rules: what a call that was killed has begun, a worker of a cluster makes to its end.
_PATIENCE_S, _BETWEEN_LOOKS_S = 300.0, 2.0


@dataclass(frozen=True, slots=True)
class TakenJob:
    """A job that is to be made, and what memory it will take (bytes)."""

    listed: ListedJob
    job: Job
    need: int


def taken(listed: ListedJob, *, despite_stops: bool, again: bool) -> TakenJob | JobResult:
    """A job that is to be made; or its result, where it cannot be used or is as before.

    Parameters
    ----------
    listed : ListedJob
        Its file and its output folder.
    despite_stops : bool
        Whether films are made although a finding says stop.
    again : bool
        Whether to make it although it is as before.
    """
    try:
        job = read_job(listed.job)
        if not again:
            told = made_of(job, FileContents(), despite_stops=despite_stops)
            if is_made_of(listed.out, told):
                return result_of_output(job, listed.job, listed.out, again=False)
        return TakenJob(listed, job, reckoned_need_bytes(job))
    except InputProblem as fault:
        return job_not_made(listed.job, listed.out, ExitStatus.BAD_INPUT, fault.sentence)


class JobTaker:
    """Takes jobs in hand one after another in a thread, while others are being made.

    Parameters
    ----------
    jobs : tuple of ListedJob
        All jobs.
    despite_stops, again : bool
        As of `taken`.
    put : callable
        Given, from that thread, each job in the order told: taken, or as a result; or the
        exception that ended the thread.
    """

    def __init__(self, jobs: tuple[ListedJob, ...], *, despite_stops: bool, again: bool,
                 put: Callable[[TakenJob | tuple[ListedJob, JobResult] | BaseException], None],
                 ) -> None:
        self._jobs, self._despite, self._again, self._put = jobs, despite_stops, again, put
        self._ended = Event()
        self._refused: dict[ListedJob, float] = {}
        self._context = copy_context()  # whether jobs may name files outside their folders

    def start(self) -> None:
        """Begin to take them in hand."""
        Thread(target=lambda: self._context.run(self._take), name="job taker",
               daemon=True).start()

    def end(self) -> None:
        """Take no more."""
        self._ended.set()

    def take_later(self, listed: ListedJob) -> bool:
        """Take a job in hand once more in a while: another run is writing to its output.

        Returns False where that run has been waited for long enough.
        """
        now = time.monotonic()
        if now - self._refused.setdefault(listed, now) > _PATIENCE_S:
            return False
        context = self._context.copy()
        timer = Timer(_BETWEEN_LOOKS_S, lambda: context.run(self._take_one, listed))
        timer.daemon = True
        timer.start()
        return True

    def _take(self) -> None:
        for listed in self._jobs:
            self._take_one(listed)

    def _take_one(self, listed: ListedJob) -> None:
        if self._ended.is_set():
            return
        try:
            found = taken(listed, despite_stops=self._despite, again=self._again)
            self._put((listed, found) if isinstance(found, JobResult) else found)
        except BaseException as fault:
            self._put(fault)
