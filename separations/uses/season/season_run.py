"""Many jobs made by as many processes at once as processors and memory allow."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from queue import Empty, SimpleQueue
from typing import Any

import psutil

from preflight.input_problem import ExitStatus, InputProblem
from separations.runtime.memory_watch import machine_memory
from separations.runtime.parallel_rows import processors
from separations.uses.season.job_list import ListedJob
from separations.uses.season.job_processes import JobProcess
from separations.uses.season.job_result import JobResult, job_not_made, result_of_output
from separations.uses.season.taken_jobs import JobTaker, TakenJob

#: Own rules: the shares of the machine's memory, and of what other programs left of it at the
#: beginning, that all processes together may hold.
_MEMORY_SHARE, _FREE_SHARE = 0.8, 0.9
_BETWEEN_LOOKS_S = 0.2
#: What has been done of a job, as the bar counts it, when its films are written. Own rule: its
#: report is still to be drawn.
_FILMS_SHARE = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonOptions:
    """How many jobs are to be made.

    Attributes
    ----------
    despite_stops : bool
        Whether films are made although a finding says stop.
    again : bool
        Whether to make those too that are as before.
    at_once : int or None
        Most jobs at work; None for as many as there are processors, or workers of a cluster.
    memory_bytes : int or None
        What all jobs at work may hold together; on a cluster, what they may be reckoned to take.
        None for 80 % of the machine's memory, or 90 % of what other programs leave of it; on a
        cluster for what its workers have.
    """

    despite_stops: bool = False
    again: bool = False
    at_once: int | None = None
    memory_bytes: int | None = None


DEFAULT_OPTIONS = SeasonOptions()


@dataclass(frozen=True, slots=True)
class SeasonProgress:
    """How far many jobs are.

    Attributes
    ----------
    ended, of : int
        Jobs ended, made or not, of how many.
    as_before : int
        Those among them that were left as they were.
    at_work : tuple of float
        The shares done of those at work.
    """

    ended: int
    of: int
    as_before: int
    at_work: tuple[float, ...]


def told_since(queue: SimpleQueue[Any], wait_s: float) -> Iterator[Any]:
    """All that a queue holds, and what comes meanwhile; nothing where it stays empty so long."""
    try:
        yield queue.get(timeout=wait_s)
        while True:
            yield queue.get_nowait()
    except Empty:
        return


@dataclass(slots=True)
class _Waiting:
    taken: TakenJob
    alone: bool = False
    before: int = 0


class _Season:
    """Makes many jobs; see `make_season`."""

    def __init__(self, jobs: tuple[ListedJob, ...], options: SeasonOptions,
                 tell: Callable[[JobResult], None],
                 progress: Callable[[SeasonProgress], None]) -> None:
        self._jobs, self._despite = jobs, options.despite_stops
        self._at_once = options.at_once or processors()
        self._bound = options.memory_bytes if options.memory_bytes is not None else int(min(
            machine_memory() * _MEMORY_SHARE, psutil.virtual_memory().available * _FREE_SHARE))
        self._tell, self._progress = tell, progress
        self._heard: SimpleQueue[Any] = SimpleQueue()
        self._waiting: deque[_Waiting] = deque()
        self._idle: list[JobProcess] = []
        self._busy: dict[JobProcess, _Waiting] = {}
        self._results: dict[ListedJob, JobResult] = {}
        self._taker = JobTaker(jobs, despite_stops=options.despite_stops, again=options.again,
                               put=self._heard.put)

    def make(self) -> tuple[JobResult, ...]:
        """Make them all; results in the order of the jobs."""
        self._taker.start()
        try:
            while len(self._results) < len(self._jobs):
                self._begin_what_fits()
                self._progress(SeasonProgress(
                    len(self._results), len(self._jobs),
                    sum(r.state == "as before" for r in self._results.values()),
                    tuple(p.done for p in self._busy)))
                for heard in told_since(self._heard, _BETWEEN_LOOKS_S):
                    self._go_by(heard)
                self._watch_memory()
        finally:
            self._taker.end()
            self._end_processes([*self._idle, *self._busy])
        return tuple(self._results[listed] for listed in self._jobs)

    def _begin_what_fits(self) -> None:
        while self._waiting and len(self._busy) < self._at_once:
            held = sum(max(w.taken.need, p.held_bytes()) for p, w in self._busy.items())
            alone = any(w.alone for w in self._busy.values())
            chosen = next((w for w in self._waiting if not self._busy or (
                not alone and not w.alone and held + w.taken.need <= self._bound)), None)
            if chosen is None:
                return
            self._waiting.remove(chosen)
            process = self._idle.pop() if self._idle else JobProcess(
                lambda who, told: self._heard.put((who, told)))
            self._busy[process] = chosen
            process.make(chosen.taken.listed, despite_stops=self._despite)

    def _go_by(self, heard: Any) -> None:
        match heard:
            case BaseException():
                raise heard
            case TakenJob():
                self._waiting.append(_Waiting(heard))
            case ListedJob() as listed, JobResult() as result:
                self._end(listed, result)
            case JobProcess() as process, None:
                self._lost(process)
            case JobProcess() as process, dict() as told:
                if "total" in told:
                    process.done = _FILMS_SHARE * told["done"] / max(told["total"], 1)
                elif told.get("ended") and process in self._busy:
                    self._ended(process, told)

    def _ended(self, process: JobProcess, told: dict[str, Any]) -> None:
        taken = self._busy.pop(process).taken
        listed = taken.listed
        process.job = None
        self._idle.append(process)
        if told["taken"] and self._taker.take_later(listed):
            return
        if told["status"]:
            self._end(listed, job_not_made(listed.job, listed.out, told["status"], told["says"]))
            return
        self._end(listed, result_of_output(
            taken.job, listed.job, listed.out, again=True, seconds=time.monotonic() - process.begun,
            peak_mib=process.peak_bytes / 2**20))

    def _lost(self, process: JobProcess) -> None:
        """A process has ended by itself: its job is made once more, with none beside it."""
        if process in self._idle:
            self._idle.remove(process)
        waiting = self._busy.pop(process, None)
        if waiting is None:
            return
        process.wait()
        if waiting.before:
            self._fail(waiting, "its process ended twice by the system",
                       "more free memory or a smaller picture")
        else:
            waiting.alone, waiting.before = True, 1
            self._waiting.append(waiting)

    def _watch_memory(self) -> None:
        """Let the job begun last wait when all together come to hold more than they may."""
        held = sum(process.held_bytes() for process in (*self._busy, *self._idle))
        if held <= self._bound:
            return
        if self._idle:
            idle, self._idle = self._idle, []
            self._end_processes(idle)
            return
        last = max(self._busy, key=lambda process: process.begun)
        waiting = self._busy.pop(last)
        self._end_processes([last])
        if self._busy:
            waiting.alone = True
            self._waiting.append(waiting)
        else:
            self._fail(waiting, f"a need for more than {self._bound // 2**20:,} MiB of memory",
                       "a smaller picture, a lower film resolution or a higher limit (--memory)")

    def _end_processes(self, processes: Sequence[JobProcess]) -> None:
        for process in processes:
            process.ask_to_end()
        for process in processes:
            process.wait()

    def _fail(self, waiting: _Waiting, found: str, would_do: str) -> None:
        listed = waiting.taken.listed
        fault = InputProblem(where=str(listed.job), found=found, would_do=would_do)
        self._end(listed, job_not_made(listed.job, listed.out, ExitStatus.BAD_INPUT,
                                       fault.sentence))

    def _end(self, listed: ListedJob, result: JobResult) -> None:
        self._results[listed] = result
        self._tell(result)


def make_season(
    jobs: Sequence[ListedJob], options: SeasonOptions = DEFAULT_OPTIONS, *,
    tell: Callable[[JobResult], None] = lambda _: None,
    progress: Callable[[SeasonProgress], None] = lambda _: None,
) -> tuple[JobResult, ...]:
    """Do what `separations.pipeline.calls.run_job` does for many jobs.

    A job whose output is whole and made of just the same is left as it is. One that cannot be
    used, or fails, stops no other. Killed at any moment, the next call makes what is missing.

    Parameters
    ----------
    jobs : sequence of ListedJob
        See `separations.uses.season.job_list.listed_jobs`.
    options : SeasonOptions
        How they are to be made.
    tell, progress : callable
        Told of each job as it ends, and how far all are.

    Returns
    -------
    tuple of JobResult
        In the order of the jobs.
    """
    return _Season(tuple(jobs), options, tell, progress).make()
