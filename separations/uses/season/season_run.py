"""Many jobs made by as many processes at once as processors and memory allow."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from queue import Empty, SimpleQueue
from typing import Any

from preflight.files.file_contents import FileContents
from preflight.input_problem import ExitStatus, InputProblem
from preflight.job_file.job_reader import read_job
from separations.pipeline.made_of import is_made_of, made_of
from separations.runtime.memory_watch import machine_memory
from separations.runtime.parallel_rows import processors
from separations.uses.season.job_list import ListedJob
from separations.uses.season.job_need import reckoned_need_bytes
from separations.uses.season.job_processes import JobProcess
from separations.uses.season.job_result import JobResult, result_of_output

#: Own rule: the share of the machine's memory that all processes together may hold.
_MEMORY_SHARE = 0.8
_BETWEEN_LOOKS_S = 0.2
_KILLED = ("its process was ended twice by the system; more free memory, or a smaller picture, "
           "would do.")


@dataclass(frozen=True, slots=True)
class Progress:
    """How far many jobs are: those ended, of how many, and the shares done of those at work."""

    ended: int
    of: int
    at_work: tuple[float, ...]


@dataclass(slots=True)
class _Waiting:
    listed: ListedJob
    need: int
    alone: bool = False
    before: int = 0


class Season:
    """Makes many jobs; see `make_season`."""

    def __init__(self, *, at_once: int, bound_bytes: int, despite_stops: bool, again: bool,
                 tell: Callable[[JobResult], None],
                 progress: Callable[[Progress], None]) -> None:
        self._at_once, self._bound = at_once, bound_bytes
        self._despite, self._again = despite_stops, again
        self._tell, self._progress = tell, progress
        self._heard: SimpleQueue[tuple[JobProcess, dict[str, Any] | None]] = SimpleQueue()
        self._waiting: deque[_Waiting] = deque()
        self._idle: list[JobProcess] = []
        self._busy: dict[JobProcess, _Waiting] = {}
        self._results: dict[ListedJob, JobResult] = {}

    def make(self, jobs: Sequence[ListedJob]) -> tuple[JobResult, ...]:
        """Make them all; results in the order of the jobs."""
        for listed in jobs:
            self._take(listed)
        try:
            while self._waiting or self._busy:
                self._begin_what_fits()
                self._progress(Progress(len(self._results), len(jobs),
                                        tuple(p.done for p in self._busy)))
                self._hear()
                self._watch_memory()
        finally:
            processes = [*self._idle, *self._busy]
            for process in processes:
                process.end()
            for process in processes:
                process.wait()
        return tuple(self._results[listed] for listed in jobs)

    def _take(self, listed: ListedJob) -> None:
        """Line a job up, unless it cannot be used or is as before."""
        try:
            job = read_job(listed.job)
            told = made_of(job, FileContents(), despite_stops=self._despite)
            if not self._again and is_made_of(listed.out, told):
                self._end(listed, result_of_output(listed.job, listed.out, again=False))
                return
            need = reckoned_need_bytes(job)
        except InputProblem as fault:
            self._end(listed, _not_made(listed, ExitStatus.BAD_INPUT, fault.sentence))
            return
        self._waiting.append(_Waiting(listed, need))

    def _begin_what_fits(self) -> None:
        while self._waiting and len(self._busy) < self._at_once:
            held = sum(max(w.need, p.held_bytes()) for p, w in self._busy.items())
            alone = any(w.alone for w in self._busy.values())
            chosen = next((w for w in self._waiting if not self._busy or (
                not alone and not w.alone and held + w.need <= self._bound)), None)
            if chosen is None:
                return
            self._waiting.remove(chosen)
            process = self._idle.pop() if self._idle else JobProcess(
                lambda who, told: self._heard.put((who, told)))
            self._busy[process] = chosen
            process.make(chosen.listed, despite_stops=self._despite)

    def _hear(self) -> None:
        try:
            process, told = self._heard.get(timeout=_BETWEEN_LOOKS_S)
        except Empty:
            return
        if told is None:
            self._lost(process)
        elif "total" in told:
            process.done = told["done"] / max(told["total"], 1)
        elif told.get("ended"):
            self._ended(process, told)

    def _ended(self, process: JobProcess, told: dict[str, Any]) -> None:
        listed = self._busy.pop(process).listed
        self._idle.append(process)
        if told["status"]:
            self._end(listed, _not_made(listed, told["status"], told["says"]))
            return
        self._end(listed, result_of_output(
            listed.job, listed.out, again=True, seconds=time.monotonic() - process.begun,
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
            self._end(waiting.listed, _not_made(
                waiting.listed, ExitStatus.BAD_INPUT, f"{waiting.listed.job}: {_KILLED}"))
        else:
            waiting.alone, waiting.before = True, 1
            self._waiting.append(waiting)

    def _watch_memory(self) -> None:
        """Let the job begun last wait when all together come to hold more than they may."""
        held = sum(process.held_bytes() for process in (*self._busy, *self._idle))
        if held <= self._bound:
            return
        while self._idle:
            self._idle.pop().end()
        if len(self._busy) > 1:
            last = max(self._busy, key=lambda process: process.begun)
            waiting = self._busy.pop(last)
            last.end()
            last.wait()
            waiting.alone = True
            self._waiting.append(waiting)

    def _end(self, listed: ListedJob, result: JobResult) -> None:
        self._results[listed] = result
        self._tell(result)


def make_season(
    jobs: Sequence[ListedJob], *, despite_stops: bool = False, again: bool = False,
    at_once: int | None = None, memory_bytes: int | None = None,
    tell: Callable[[JobResult], None] = lambda _: None,
    progress: Callable[[Progress], None] = lambda _: None,
) -> tuple[JobResult, ...]:
    """Do what `separations.pipeline.calls.run_job` does for many jobs.

    A job whose output is whole and made of just the same is left as it is. One that cannot be
    used, or fails, stops no other. Killed at any moment, the next call makes what is missing.

    Parameters
    ----------
    jobs : sequence of ListedJob
        See `separations.uses.season.job_list.listed_jobs`.
    despite_stops : bool
        Whether films are made although a finding says stop.
    again : bool
        Whether to make those too that are as before.
    at_once : int, optional
        Most processes; as many as processors where none is told.
    memory_bytes : int, optional
        What all processes together may hold; 80 % of the machine's memory where none is told.
    tell, progress : callable
        Told of each job as it ends, and how far all are.

    Returns
    -------
    tuple of JobResult
        In the order of the jobs.
    """
    bound = int(machine_memory() * _MEMORY_SHARE) if memory_bytes is None else memory_bytes
    return Season(at_once=at_once or processors(), bound_bytes=bound, despite_stops=despite_stops,
                  again=again, tell=tell, progress=progress).make(jobs)


def _not_made(listed: ListedJob, status: int, says: str) -> JobResult:
    return JobResult(job=str(listed.job), out=str(listed.out), state="not made", status=status,
                     says=says, report={})
