"""Many jobs made by the workers of a Dask cluster, each worker one job at a time."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from preflight.input_problem import ExitStatus, InputProblem
from preflight.job_file.named_paths import is_outside_allowed
from separations.uses.season.carried_files import carried_files, digest_of, write_output
from separations.uses.season.cluster_workers import ClusterWorker, Roll, by_name, connected
from separations.uses.season.job_list import ListedJob
from separations.uses.season.job_result import JobResult, job_not_made, result_of_output
from separations.uses.season.season_run import SeasonProgress
from separations.uses.season.taken_jobs import TakenJob, taken

_BETWEEN_LOOKS_S = 0.3
#: So many workers may be lost over one job before it is told as not made.
_MOST_LOSSES = 4
#: How long to wait for a worker that could be used, when none is there (s); and, where there are
#: workers but none that could.
_PATIENCE_S, _MOMENT_S = 120.0, 2.0


@dataclass(slots=True)
class _AtWork:
    taken: TakenJob
    future: Any
    begun: float


class _ClusterSeason:
    """Makes many jobs on a cluster; see `make_season_on_cluster`."""

    def __init__(self, client: Any, roll: Roll, *, despite_stops: bool,
                 tell: Callable[[JobResult], None]) -> None:
        self._client, self._roll, self._despite, self._tell = client, roll, despite_stops, tell
        self._waiting: deque[TakenJob] = deque()
        self._busy: dict[str, _AtWork] = {}
        self._losses: dict[ListedJob, int] = {}
        self._results: dict[ListedJob, JobResult] = {}
        self._idle_since = time.monotonic()

    def make(self, jobs: tuple[ListedJob, ...], *, again: bool,
             progress: Callable[[SeasonProgress], None]) -> tuple[JobResult, ...]:
        """Make them all; results in the order of the jobs."""
        for listed in jobs:
            found = taken(listed, despite_stops=self._despite, again=again)
            if isinstance(found, TakenJob):
                self._waiting.append(found)
            else:
                self._end(listed, found)
        before = sum(r.state == "as before" for r in self._results.values())
        try:
            while self._waiting or self._busy:
                workers = self._roll.present()
                self._give_up_lost(workers)
                self._begin(workers)
                progress(SeasonProgress(len(self._results), len(jobs), before,
                                        (0.0,) * len(self._busy)))
                self._take_ended()
        finally:
            for at_work in self._busy.values():
                at_work.future.cancel(force=True)
        return tuple(self._results[listed] for listed in jobs)

    def _begin(self, workers: dict[str, ClusterWorker]) -> None:
        for address, worker in workers.items():
            chosen = next((t for t in self._waiting if worker.has_room_for(t.need)), None)
            if address in self._busy or chosen is None:
                continue
            self._waiting.remove(chosen)
            try:
                call = self._order(chosen, worker)
            except InputProblem as fault:
                self._fail(chosen, fault)
                continue
            except OSError:  # the worker left meanwhile
                self._waiting.appendleft(chosen)
                continue
            self._busy[address] = _AtWork(chosen, self._client.submit(
                call, workers=[address], allow_other_workers=False, pure=False), time.monotonic())
        self._give_up_what_fits_nowhere(workers)

    def _order(self, chosen: TakenJob, worker: ClusterWorker) -> Callable[[], Any]:
        listed = chosen.listed
        order: dict[str, Any] = {"despite_stops": self._despite, "outside": is_outside_allowed()}
        if worker.shared:
            order |= {"job": str(listed.job.resolve()), "out": str(listed.out.resolve())}
            return by_name("make_in_place", order)
        files = carried_files(chosen.job)
        digests = {name: digest_of(path) for name, path in files.items()}
        lacking = self._run_on(worker, "lacking_files", sorted(set(digests.values())))
        for name, digest in digests.items():
            if digest in lacking:
                self._run_on(worker, "keep_files", {digest: files[name].read_bytes()})
        order |= {"job": listed.job.name, "files": digests, "folder": str(listed.job.parent)}
        return by_name("make_of_kept", order)

    def _run_on(self, worker: ClusterWorker, name: str, *words: Any) -> Any:
        return self._client.run(by_name(name, *words), workers=[worker.address])[worker.address]

    def _take_ended(self) -> None:
        time.sleep(_BETWEEN_LOOKS_S)
        for address, at_work in list(self._busy.items()):
            if not at_work.future.done():
                continue
            del self._busy[address]
            if at_work.future.status == "finished":
                self._ended(at_work)
            else:
                self._lost(at_work.taken)

    def _ended(self, at_work: _AtWork) -> None:
        listed, job = at_work.taken.listed, at_work.taken.job
        told = at_work.future.result()
        at_work.future.release()
        try:
            if told["status"] == 0 and "output" in told:
                write_output(job, listed.out, told["output"])
        except InputProblem as fault:
            self._fail(at_work.taken, fault)
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
            at_work = self._busy.pop(address)
            at_work.future.cancel(force=True)
            self._lost(at_work.taken)

    def _lost(self, lost: TakenJob) -> None:
        self._losses[lost.listed] = self._losses.get(lost.listed, 0) + 1
        if self._losses[lost.listed] < _MOST_LOSSES:
            self._waiting.appendleft(lost)
            return
        self._fail(lost, InputProblem(
            where=str(lost.listed.job), found=f"{_MOST_LOSSES} workers lost over it",
            would_do="workers with more memory, or a smaller picture,"))

    def _give_up_what_fits_nowhere(self, workers: dict[str, ClusterWorker]) -> None:
        """At once where no worker had the memory; else after a while: one may come back."""
        if self._busy or not self._waiting:
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

    def _fail(self, what: TakenJob, fault: InputProblem) -> None:
        listed = what.listed
        self._end(listed, job_not_made(listed.job, listed.out, ExitStatus.BAD_INPUT,
                                       fault.sentence))

    def _end(self, listed: ListedJob, result: JobResult) -> None:
        self._results[listed] = result
        self._tell(result)


def make_season_on_cluster(
    jobs: Sequence[ListedJob], address: str, *, despite_stops: bool = False, again: bool = False,
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
    despite_stops, again, tell, progress
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
        return _ClusterSeason(client, roll, despite_stops=despite_stops, tell=tell).make(
            tuple(jobs), again=again, progress=progress)
    finally:
        client.close()
