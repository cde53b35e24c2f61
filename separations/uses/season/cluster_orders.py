"""What is sent to a worker of a cluster for a job: where it lies, or its files by content."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from preflight.job_file.named_paths import is_outside_allowed
from separations.uses.season.carried_files import carried_files, digest_of
from separations.uses.season.cluster_workers import ClusterWorker, by_name
from separations.uses.season.taken_jobs import TakenJob


def order_for(taken: TakenJob, worker: ClusterWorker, client: Any, *,
              despite_stops: bool) -> Callable[[], Any]:
    """The call that makes a job on a worker; files that it lacks are sent to it before.

    Parameters
    ----------
    taken : TakenJob
        The job.
    worker : ClusterWorker
        Who is to make it.
    client : distributed.Client
        Of the cluster.
    despite_stops : bool
        Whether films are made although a finding says stop.

    Raises
    ------
    InputProblem
        When it names a file that cannot be sent.
    """
    listed = taken.listed
    order: dict[str, Any] = {"despite_stops": despite_stops, "outside": is_outside_allowed()}
    if worker.shared:
        order |= {"job": str(listed.job.resolve()), "out": str(listed.out.resolve())}
        return by_name("make_in_place", order)
    files = carried_files(taken.job)
    digests = {name: digest_of(path) for name, path in files.items()}

    def ask(name: str, words: Any) -> Any:
        return client.run(by_name(name, words), workers=[worker.address])[worker.address]

    lacking = ask("lacking_files", sorted(set(digests.values())))
    for name, digest in digests.items():
        if digest in lacking:
            ask("keep_files", {digest: files[name].read_bytes()})
    order |= {"job": listed.job.name, "files": digests, "folder": str(listed.job.parent)}
    return by_name("make_of_kept", order)
