"""The workers of a Dask cluster: which of them can make jobs, and calls of them by name."""

from __future__ import annotations

import contextlib
import secrets
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import CancelledError
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue
from threading import Thread
from typing import Any

from preflight.files.folder_locks import FolderTaken, held, held_in_turn, is_ownerless
from preflight.input_problem import InputProblem
from separations.runtime.own_code import own_version
from separations.uses.season.carried_files import digest_of
from separations.uses.season.job_list import ListedJob

#: What a worker runs; named, not imported: it stands above this.
_MODULE = "separations.commands.job_on_worker"
#: Own rule: the share of a worker's memory that a job may take; Dask stops one at 95 %.
_MEMORY_SHARE = 0.85
#: How long a scheduler that does not answer is waited for, and how often it is asked who is there
#: (s).
_PATIENCE_S = 20
_BETWEEN_CALLS_S = 1.0

#: What calls raise while a scheduler or a worker is going.
_CONNECTION_FAULTS = (OSError, RuntimeError, CancelledError)


@dataclass(frozen=True, slots=True)
class ClusterWorker:
    """A worker that can make jobs.

    Attributes
    ----------
    address : str
        Where it is.
    memory : int or None
        What it may hold (bytes); None without a bound.
    shared : bool
        Whether it sees the jobs' own folders.
    """

    address: str
    memory: int | None
    shared: bool

    def has_room_for(self, need: int) -> bool:
        """Whether a job that takes so many bytes may be made there."""
        return self.memory is None or need <= self.memory * _MEMORY_SHARE


def connected(address: str) -> Any:
    """A client of the cluster at an address, e.g. ``tcp://10.0.0.2:8786``.

    Raises
    ------
    InputProblem
        When Dask is not installed, or no scheduler answers.
    """
    try:
        from distributed import Client
    except ImportError:
        raise InputProblem(where=f"--cluster {address}", found="no Dask in this installation",
                           would_do="pip install '.[cluster]' in topsheet's folder") from None
    try:
        return Client(address, timeout=_PATIENCE_S, set_as_default=False)
    except (OSError, ValueError) as fault:
        raise InputProblem(
            where=f"--cluster {address}", found=f"no scheduler that answers ({fault})",
            would_do="the address that `dask scheduler` prints, such as tcp://10.0.0.2:8786,",
        ) from None


def by_name(name: str, *words: Any) -> Callable[[], Any]:
    """A call of a function of topsheet's, that is sent whole and looks it up where it arrives."""
    module = _MODULE

    def call() -> Any:
        import importlib

        try:
            found = importlib.import_module(module)
        except ImportError as fault:
            return {"lacks": str(fault)}
        return getattr(found, name)(*words)

    return call


class Roll:
    """Knows the workers of a cluster, asks new ones, and tells of those that are not used.

    Parameters
    ----------
    client : distributed.Client
        Of the cluster.
    jobs : sequence of ListedJob
        All jobs.
    send_files : bool
        Whether files are sent even where a folder is shared.
    say : callable
        Told of each worker that is not used, and why.
    """

    def __init__(self, client: Any, jobs: Sequence[ListedJob], *, send_files: bool,
                 say: Callable[[str], None]) -> None:
        self._client, self._jobs, self._send, self._say = client, jobs, send_files, say
        self._known: dict[str, ClusterWorker | None] = {}
        self._present: dict[str, ClusterWorker] = {}
        self._called = -_BETWEEN_CALLS_S
        self._asked: set[str] = set()
        self._answers: SimpleQueue[tuple[dict[str, int | None], dict[str, Any]]] = SimpleQueue()

    @property
    def is_reached(self) -> bool:
        """Whether the scheduler is there."""
        return bool(self._client.status == "running")

    @property
    def is_lost(self) -> bool:
        """Whether the scheduler has gone and did not come back in a while."""
        return self._client.status not in ("running", "connecting")

    @property
    def is_asking(self) -> bool:
        """Whether new workers have yet to answer: they load their libraries before they do."""
        return bool(self._asked)

    def present(self) -> dict[str, ClusterWorker]:
        """The workers that can make jobs now, by address; as of a moment ago."""
        while not self._answers.empty():
            self._enter(*self._answers.get())
            self._called = -_BETWEEN_CALLS_S
        now = time.monotonic()
        if self.is_reached and now - self._called < _BETWEEN_CALLS_S:
            return self._present
        self._called, self._present = now, {}
        if self.is_reached:
            try:
                self._present = self._called_up()
            except Exception as fault:
                if not self.is_connection_fault(fault):
                    raise
        return self._present

    def is_connection_fault(self, fault: Exception) -> bool:
        """Whether a call failed since a worker or the scheduler was going."""
        return isinstance(fault, _CONNECTION_FAULTS) or not self.is_reached

    def _called_up(self) -> dict[str, ClusterWorker]:
        there = self._client.scheduler_info(n_workers=-1)["workers"]
        new = [address for address in there
               if address not in self._known and address not in self._asked]
        if new:
            self._asked.update(new)
            memory = {address: there[address].get("memory_limit") or None for address in new}
            Thread(target=self._ask, args=(memory,), name="workers asked", daemon=True).start()
        return {address: worker for address in there
                if (worker := self._known.get(address)) is not None}

    def had_room_for(self, need: int) -> bool:
        """Whether any worker, here now or not, could make a job that takes so many bytes."""
        return any(worker is not None and worker.has_room_for(need)
                   for worker in self._known.values())

    def _ask(self, memory: dict[str, int | None]) -> None:
        """In a thread: ask workers for what they are."""
        answers: dict[str, Any] = {}
        try:
            with _probes(self._jobs) as probes:
                of_folders = {one.job.resolve().parent: one.job.resolve() for one in self._jobs}
                jobs = {str(job): digest_of(job) for job in of_folders.values() if job.is_file()}
                answers = self._client.run(by_name("tell_facts", jobs, probes),
                                           workers=list(memory), on_error="return")
        except Exception as fault:
            answers = dict.fromkeys(memory, fault)
        self._answers.put((memory, answers))

    def _enter(self, memory: dict[str, int | None], answers: dict[str, Any]) -> None:
        for address, limit in memory.items():
            self._asked.discard(address)
            told = answers.get(address)
            if told is None or (isinstance(told, Exception) and self.is_connection_fault(told)):
                continue  # it left meanwhile; if it is there it is asked again
            why = _unfit(told)
            if why:
                self._say(f"{address} is not used: {why}.")
            self._known[address] = None if why else ClusterWorker(
                address, limit, told["shared"] and not self._send)


def _unfit(told: Any) -> str:
    if not isinstance(told, dict):
        return f"it did not answer ({told})"
    if "lacks" in told:
        return f"it has no topsheet ({told['lacks']})"
    if told["version"] != own_version():
        return f"it has topsheet {told['version']}, this is {own_version()}"
    return ""


@contextlib.contextmanager
def _probes(jobs: Sequence[ListedJob]) -> Iterator[list[str]]:
    """A mark in each folder of outputs, by which a worker knows that it sees the same folder."""
    with contextlib.ExitStack() as ours:
        probes: list[str] = []
        for folder in {one.out.resolve().parent for one in jobs}:
            with contextlib.suppress(OSError, FolderTaken):
                probes.append(ours.enter_context(_probe(folder)))
        yield probes


@contextlib.contextmanager
def _probe(folder: Path) -> Iterator[str]:
    """An empty folder, locked: so the next call knows what a killed one left, and sweeps it."""
    folder.mkdir(parents=True, exist_ok=True)
    probe = folder / f".topsheet-{secrets.token_hex(8)}.probe"
    with contextlib.ExitStack() as ours:
        with held_in_turn(folder):
            for left in folder.glob(".topsheet-*.probe"):
                if is_ownerless(left):
                    left.rmdir()
            probe.mkdir()
            ours.enter_context(held(probe))
        try:
            yield str(probe)
        finally:
            with contextlib.suppress(OSError):
                probe.rmdir()
