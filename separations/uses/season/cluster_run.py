"""Many jobs made by the workers of a Dask cluster, one at a time each."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from queue import SimpleQueue
from threading import Thread
from typing import Any

from preflight.files.whole_files import OutputTaken
from preflight.input_problem import ExitStatus, InputProblem
from separations.uses.season.carried_files import write_output
from separations.uses.season.cluster_orders import order_for
from separations.uses.season.cluster_workers import ClusterWorker, Roll, connected
from separations.uses.season.job_list import ListedJob
from separations.uses.season.job_result import JobResult, job_not_made, result_of_output
from separations.uses.season.season_run import (
    DEFAULT_OPTIONS,
    SeasonOptions,
    SeasonProgress,
    told_since,
)
from separations.uses.season.taken_jobs import JobTaker, TakenJob

_BETWEEN_LOOKS_S = 0.3
#: So many workers may be lost over one job before it is told as not made.
_MOST_LOSSES = 4
_MOST_WORDS = 300
#: How long to wait for a worker that could be used, when none is there (s); and, where there are
#: workers but none that could.
_PATIENCE_S, _MOMENT_S = 120.0, 2.0


@dataclass(slots=True, eq=False)
class _AtWork:
    taken: TakenJob
    address: str
    future: Any
    begun: float


class _ClusterSeason:
    """Makes many jobs on a cluster; see `make_season_on_cluster`."""

    def __init__(self, jobs: tuple[ListedJob, ...], options: SeasonOptions, client: Any,
                 roll: Roll, tell: Callable[[JobResult], None]) -> None:
        self._jobs, self._despite = jobs, options.despite_stops
        self._at_once, self._bound = options.at_once, options.memory_bytes
        self._client, self._roll, self._tell = client, roll, tell
        self._heard: SimpleQueue[Any] = SimpleQueue()
        self._waiting: deque[TakenJob] = deque()
        self._busy: dict[str, _AtWork] = {}
        self._losses: dict[ListedJob, int] = {}
        self._results: dict[ListedJob, JobResult] = {}
        self._idle_since = time.monotonic()
        self._taker = JobTaker(jobs, despite_stops=options.despite_stops, again=options.again,
                               put=self._heard.put)

    def make(self, progress: Callable[[SeasonProgress], None]) -> tuple[JobResult, ...]:
        """Make them all; results in the order of the jobs."""
        self._taker.start()
        try:
            while len(self._results) < len(self._jobs):
                if self._roll.is_lost:
                    self._give_up_without_scheduler()
                    break
                workers = self._roll.present()
                self._give_up_lost(workers)
                self._begin(workers)
                self._give_up_what_fits_nowhere(workers)
                progress(SeasonProgress(
                    len(self._results), len(self._jobs),
                    sum(r.state == "as before" for r in self._results.values()),
                    (0.0,) * len(self._busy)))
                for heard in told_since(self._heard, _BETWEEN_LOOKS_S):
                    self._go_by(heard)
        finally:
            self._taker.end()
            for at_work in self._busy.values():
                self._let_go(at_work)
        return tuple(self._results[listed] for listed in self._jobs)

    def _begin(self, workers: dict[str, ClusterWorker]) -> None:
        for address, worker in workers.items():
            if len(self._busy) >= (self._at_once or len(workers)):
                return
            if address in self._busy:
                continue
            held = sum(at_work.taken.need for at_work in self._busy.values())
            chosen = next((t for t in self._waiting if worker.has_room_for(t.need) and (
                self._bound is None or held + t.need <= self._bound)), None)
            if chosen is not None:
                self._waiting.remove(chosen)
                self._begin_on(worker, chosen)

    def _begin_on(self, worker: ClusterWorker, chosen: TakenJob) -> None:
        try:
            call = order_for(chosen, worker, self._client, despite_stops=self._despite)
            future = self._client.submit(call, workers=[worker.address],
                                         allow_other_workers=False, pure=False)
        except InputProblem as fault:
            self._fail(chosen, fault)
            return
        except Exception as fault:
            if not self._roll.is_connection_fault(fault):
                raise
            self._waiting.appendleft(chosen)
            return
        at_work = _AtWork(chosen, worker.address, future, time.monotonic())
        self._busy[worker.address] = at_work
        Thread(target=self._await, args=(at_work,), name="job awaited", daemon=True).start()

    def _await(self, at_work: _AtWork) -> None:
        """In a thread: wait for the end of a job, and for what comes back of it."""
        try:
            told = at_work.future.result()
        except Exception as fault:  # the worker is gone, or has failed
            told = fault
        self._heard.put((at_work, told))

    def _go_by(self, heard: Any) -> None:
        match heard:
            case BaseException():
                raise heard
            case TakenJob():
                self._take(heard)
            case ListedJob() as listed, JobResult() as result:
                self._end(listed, result)
            case _AtWork() as at_work, told if self._busy.get(at_work.address) is at_work:
                del self._busy[at_work.address]
                if isinstance(told, Exception):
                    self._lost(at_work, f" (the last: {str(told)[:_MOST_WORDS]})")
                else:
                    self._ended(at_work, told)

    def _take(self, taken: TakenJob) -> None:
        if self._bound is None or taken.need <= self._bound:
            self._waiting.append(taken)
        else:
            self._fail(taken, InputProblem(
                where=str(taken.listed.job), found=f"an expected need of {taken.need // 2**20:,} "
                f"MiB, where all jobs together may hold {self._bound // 2**20:,} MiB",
                would_do="a smaller picture or a higher limit (--memory)"))

    def _ended(self, at_work: _AtWork, told: dict[str, Any]) -> None:
        listed, job = at_work.taken.listed, at_work.taken.job
        at_work.future.release()
        try:
            if told["status"] == 0 and "output" in told:
                write_output(job, listed.out, told["output"])
        except InputProblem as fault:
            told = {"status": ExitStatus.BAD_INPUT, "says": fault.sentence,
                    "taken": isinstance(fault, OutputTaken)}
        if told["taken"] and self._taker.take_later(listed):
            return
        if told["status"]:
            says = told["says"].replace(str(listed.job.resolve()), str(listed.job))
            self._end(listed, job_not_made(listed.job, listed.out, told["status"], says))
            return
        self._end(listed, result_of_output(job, listed.job, listed.out, again=True,
                                           seconds=time.monotonic() - at_work.begun))

    def _give_up_lost(self, workers: dict[str, ClusterWorker]) -> None:
        """Jobs whose worker is gone are made by another."""
        for address in [address for address in self._busy if address not in workers]:
            self._lost(self._busy.pop(address))

    def _lost(self, at_work: _AtWork, last: str = "") -> None:
        self._let_go(at_work)
        lost = at_work.taken
        if self._roll.is_reached:  # else it may well be at work
            self._losses[lost.listed] = self._losses.get(lost.listed, 0) + 1
        if self._losses.get(lost.listed, 0) < _MOST_LOSSES:
            self._waiting.appendleft(lost)
            return
        self._fail(lost, InputProblem(
            where=str(lost.listed.job), found=f"{_MOST_LOSSES} workers lost over it{last}",
            would_do="workers with more memory, or a smaller picture,"))

    def _let_go(self, at_work: _AtWork) -> None:
        if self._roll.is_reached:
            try:
                at_work.future.cancel(force=True)
            except Exception as fault:
                if not self._roll.is_connection_fault(fault):
                    raise

    def _give_up_what_fits_nowhere(self, workers: dict[str, ClusterWorker]) -> None:
        """At once where no worker had the memory; else after a while: one may come back."""
        if self._busy or not self._waiting or self._roll.is_asking:
            self._idle_since = time.monotonic()
        passed = time.monotonic() - self._idle_since
        for left in list(self._waiting):
            had_room = self._roll.had_room_for(left.need)
            if self._busy or passed < (_PATIENCE_S if had_room or not workers else _MOMENT_S):
                continue
            self._waiting.remove(left)
            self._fail(left, InputProblem(
                where=str(left.listed.job), found="no worker that can be used with "
                f"{left.need // 2**20:,} MiB of memory for it",
                would_do="workers with more memory and this version of topsheet"))

    def _give_up_without_scheduler(self) -> None:
        for listed in self._jobs:
            if listed not in self._results:
                fault = InputProblem(where=str(listed.job), found="no scheduler any more to have "
                                     "it made", would_do="the same call once one is there again")
                self._end(listed, job_not_made(listed.job, listed.out, ExitStatus.BAD_INPUT,
                                               fault.sentence))

    def _fail(self, what: TakenJob, fault: InputProblem) -> None:
        listed = what.listed
        self._end(listed, job_not_made(listed.job, listed.out, ExitStatus.BAD_INPUT,
                                       fault.sentence))

    def _end(self, listed: ListedJob, result: JobResult) -> None:
        self._results[listed] = result
        self._tell(result)


def make_season_on_cluster(
    jobs: Sequence[ListedJob], address: str, options: SeasonOptions = DEFAULT_OPTIONS, *,
    send_files: bool = False, say: Callable[[str], None] = lambda _: None,
    tell: Callable[[JobResult], None] = lambda _: None,
    progress: Callable[[SeasonProgress], None] = lambda _: None,
) -> tuple[JobResult, ...]:
    """Do what `separations.uses.season.season_run.make_season` does, on a Dask cluster.

    A worker makes one job at a time. One that sees the jobs' folders works in them; to any other
    files are sent by content, and its output is brought back. A job whose worker is lost is made
    by another.

    Parameters
    ----------
    jobs : sequence of ListedJob
        See `separations.uses.season.job_list.listed_jobs`.
    address : str
        Of the scheduler.
    options, tell, progress
        As of `make_season`.
    send_files : bool
        Whether files are sent even where a folder is shared.
    say : callable
        Told of each worker that is not used, and why.

    Raises
    ------
    InputProblem
        When Dask is not installed, or no scheduler answers.
    """
    client = connected(address)
    try:
        roll = Roll(client, jobs, send_files=send_files, say=say)
        return _ClusterSeason(tuple(jobs), options, client, roll, tell).make(progress)
    finally:
        client.close()
