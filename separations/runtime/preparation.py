"""Compiles a job's first kernels in several processes at once, before the job needs them."""

from __future__ import annotations

import json
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import psutil

from preflight.files.folder_locks import FolderTaken, held
from separations.runtime.first_kernels import (
    KernelGroup,
    first_kernels,
    is_prepared,
    kept_folder,
    note_prepared,
)
from separations.runtime.parallel_rows import processors

#: What a process that compiles holds at most, and what this one does meanwhile, measured and
#: rounded up (bytes).
WORKER_BYTES, OWN_BYTES = 360 * 2**20, 100 * 2**20
#: More would wait for the longest group alone.
_MOST_WORKERS = 3
_BETWEEN_LOOKS_S = 0.05
_SERVE = ("import sys; sys.path.insert(0, {!r}); "
          "from separations.runtime.kernel_worker import serve; serve()")


def prepare_kernels(begin: Callable[[], None], progress: Callable[[float, float], None],
                    bound: int) -> None:
    """Compile the first kernels unless their code is kept; whatever fails is left for later.

    Of two commands that begin at once one compiles, the other waits for it.

    Parameters
    ----------
    begin : callable
        Called once before it takes long.
    progress : callable
        Told (done, in all) of what there is to do, on the calling thread.
    bound : int
        Memory (bytes) that may be taken by all processes together.
    """
    if is_prepared():
        return
    begin()
    try:
        folder = kept_folder()
        while True:
            try:
                with held(folder):
                    if not is_prepared() and _compile_all(progress, bound):
                        note_prepared()
                return
            except FolderTaken:
                time.sleep(_BETWEEN_LOOKS_S)
    except OSError:  # no folder, no further process: kernels are compiled as they are called
        return


def workers_for(bound: int) -> int:
    """How many processes may compile at once within so many bytes, at least one."""
    room = min(bound, int(psutil.virtual_memory().available)) - OWN_BYTES
    return max(1, min(_MOST_WORKERS, processors(), room // WORKER_BYTES))


def _compile_all(progress: Callable[[float, float], None], bound: int) -> bool:
    """Hand the groups out to processes; whether all came back."""
    groups = first_kernels()
    waiting: queue.SimpleQueue[KernelGroup] = queue.SimpleQueue()
    for group in groups:
        waiting.put(group)
    done: list[KernelGroup] = []
    whole = sum(group.seconds for group in groups)
    workers: list[subprocess.Popen[str]] = []
    threads: list[threading.Thread] = []
    try:
        for _ in range(workers_for(bound)):
            workers.append(_started())
            threads.append(threading.Thread(target=_hand_out, args=(workers[-1], waiting, done)))
            threads[-1].start()
        while any(thread.is_alive() for thread in threads):
            progress(sum(group.seconds for group in tuple(done)), whole)
            time.sleep(_BETWEEN_LOOKS_S)
        progress(sum(group.seconds for group in done), whole)
    finally:
        for worker in workers:
            worker.kill()
        for thread in threads:
            thread.join()
        for worker in workers:
            with worker:  # closes its pipes and waits for its end
                pass
    return len(done) == len(groups)


def _started() -> subprocess.Popen[str]:
    """A process that compiles; a session of its own keeps the terminal's Ctrl-C from it."""
    root = str(Path(__file__).parents[2])
    return subprocess.Popen(
        [sys.executable, "-P", "-c", _SERVE.format(root)], text=True, stdin=subprocess.PIPE,
        stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, start_new_session=True)


def _hand_out(worker: subprocess.Popen[str], waiting: queue.SimpleQueue[KernelGroup],
              done: list[KernelGroup]) -> None:
    """Give a process one group after the other, until none is left or it ends."""
    assert worker.stdin is not None
    assert worker.stdout is not None
    with suppress(queue.Empty, OSError, ValueError):
        while True:
            group = waiting.get_nowait()
            worker.stdin.write(json.dumps(group.kernels) + "\n")
            worker.stdin.flush()
            if not worker.stdout.readline():
                return
            done.append(group)
