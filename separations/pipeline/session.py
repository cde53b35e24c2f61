"""A session on a job: asks stages for results, and keeps what a change does not touch."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from pathlib import Path
from typing import Any, NamedTuple, TypeVar, cast

from preflight.files.file_contents import FileContents
from preflight.job_file.job import Job
from preflight.job_file.job_part import JobPart, job_part
from preflight.job_file.job_reader import read_job
from separations.pipeline.kept_results import KeptResults, digest_of
from separations.pipeline.stage import InkStage, Look, Stage, look_for

Result = TypeVar("Result")
#: Stages made at a time. Results do not depend on it.
WORKERS = 2


class NotWanted(Exception):
    """What was asked of a session is no longer wanted; the stages begun for it were finished."""


class _Step(NamedTuple):
    """A stage to be made, for one ink where it is made for each; None stands for all inks."""

    stage: Stage[Any]
    ink: int | None


class Session:
    """A job looked at as often as one likes; what was made for one look serves the next.

    Any thread may ask. A session never changes: `changed` gives one of a changed job that shares
    all that is kept.

    Parameters
    ----------
    job : Job or Path
        The job, or its file, which is read now.
    finest_ppi : float, optional
        Work photographs and line work no finer than this, for a quick look; default as fine as
        films have use for.
    proof_ppi : float
        Resolution of the proof.
    keep : KeptResults, optional
        What keeps results; its own, with the usual bound, if not given.
    contents : FileContents, optional
        What knows files by what they hold; its own if not given.
    wanted : callable, optional
        Asked before each stage whether its result is still wanted; where it is not, `NotWanted` is
        raised to whoever asked.

    Raises
    ------
    InputProblem
        When the job file cannot be used.
    """

    def __init__(self, job: Job | Path, *, finest_ppi: float | None = None,
                 proof_ppi: float = 100.0, keep: KeptResults | None = None,
                 contents: FileContents | None = None,
                 wanted: Callable[[], bool] = lambda: True) -> None:
        self.job = read_job(job) if isinstance(job, Path) else job
        self.keep = keep or KeptResults()
        self.contents = contents or FileContents()
        self.wanted = wanted
        self.settings: dict[str, Any] = {"finest_ppi": finest_ppi, "proof_ppi": proof_ppi}
        self._parts: dict[_Step, JobPart] = {}
        self.at_hand: dict[_Step, Any] = {}

    def changed(self, job: Job, wanted: Callable[[], bool] | None = None) -> Session:
        """A session of a changed job: what does not depend on the change is kept."""
        return Session(job, keep=self.keep, contents=self.contents, wanted=wanted or self.wanted,
                       **self.settings)

    def at(self, *, finest_ppi: float | None, proof_ppi: float | None = None) -> Session:
        """A session of the same job that looks finer or less fine."""
        return Session(self.job, keep=self.keep, contents=self.contents, wanted=self.wanted,
                       finest_ppi=finest_ppi,
                       proof_ppi=self.settings["proof_ppi"] if proof_ppi is None else proof_ppi)

    def of(self, stage: Stage[Result]) -> Result:
        """A stage's result.

        Raises
        ------
        InputProblem
            When what the job names cannot be used.
        """
        return cast("Result", self.all_of(stage)[0])

    def all_of(self, *stages: Stage[Any]) -> tuple[Any, ...]:
        """Several stages' results, made side by side where they do not wait for each other."""
        asking = _Asking(self)
        steps = [_Step(stage, None) for stage in stages]
        asking.make(steps)
        return tuple(asking.result(step) for step in steps)

    def hold(self, *stages: Stage[Any]) -> tuple[Any, ...]:
        """As `all_of`; this session has these results at hand from now on, kept or not.

        Files that change later are not seen in them.
        """
        found = self.all_of(*stages)
        for stage, result in zip(stages, found, strict=True):
            each = enumerate(result) if isinstance(stage, InkStage) else [(None, result)]
            self.at_hand.update({_Step(stage, ink): one for ink, one in each})
        return found

    def let_go(self, *stages: Stage[Any]) -> None:
        """Have these stages' results at hand no longer."""
        for step in [step for step in self.at_hand if step.stage in stages]:
            del self.at_hand[step]

    def part(self, stage: Stage[Any], ink: int | None) -> JobPart:
        """What of the job a stage is given."""
        step = _Step(stage, ink)
        if step not in self._parts:
            self._parts[step] = job_part(self.job, stage.job_reads, ink)
        return self._parts[step]


class _Asking:
    """One asking: files are looked at once, and what is at hand is held on to until it is done."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._files: dict[Path, str] = {}
        self._keys: dict[_Step, str] = {}
        self._made: dict[_Step, Any] = dict(session.at_hand)

    def result(self, step: _Step) -> Any:
        """What was made of a stage, one entry an ink where it is made for each."""
        if step.ink is None and isinstance(step.stage, InkStage):
            return tuple(self._made[one] for one in self.each(step))
        return self._made[step]

    def make(self, wanted: list[_Step]) -> None:
        """Make all that is wanted, or have it from what is kept."""
        order: dict[_Step, None] = {}
        for step in wanted:
            for one in self.each(step):
                self._plan(one, order)
        steps = list(order)
        if len(steps) <= 1:
            for step in steps:
                self._made[step] = self._run(step)
            return
        self._make_side_by_side(steps, {one for step in wanted for one in self.each(step)})

    def each(self, step: _Step) -> list[_Step]:
        """A step, or one for each ink."""
        if step.ink is None and isinstance(step.stage, InkStage):
            return [_Step(step.stage, n) for n in range(len(self._session.job.ink))]
        return [step]

    def _needs(self, step: _Step) -> Iterator[_Step]:
        for need in step.stage.needs:
            yield from self.each(_Step(need, None))
        for need in step.stage.own_needs:
            yield _Step(need, step.ink)

    def _plan(self, step: _Step, order: dict[_Step, None]) -> None:
        """Put a step and all that it waits for in an order in which they can be made."""
        if step in self._made or step in order:
            return
        kept = self._session.keep.kept(self.key_of(step))
        if kept is not None:
            self._made[step] = kept.result
            return
        for need in self._needs(step):
            self._plan(need, order)
        order[step] = None

    def key_of(self, step: _Step) -> str:
        """The digest of all that a step's result is made from."""
        if step not in self._keys:
            session, stage = self._session, step.stage
            part = session.part(stage, step.ink)
            self._keys[step] = digest_of(
                stage.name, part.told, *(self._content(path) for path in part.files),
                *(f"{name}={session.settings[name]!r}" for name in stage.settings),
                *(self._told_by(need) for need in self._needs(step)))
        return self._keys[step]

    def _told_by(self, need: _Step) -> str:
        if not need.stage.known_by_value:
            return self.key_of(need)
        if need not in self._made:
            order: dict[_Step, None] = {}
            self._plan(need, order)
            for step in order:
                self._made[step] = self._run(step)
        return digest_of(need.stage.name, repr(self._made[need]))

    def _content(self, path: Path) -> str:
        if path not in self._files:
            self._files[path] = self._session.contents.digest(path)
        return self._files[path]

    def _run(self, step: _Step) -> Any:
        """Make one step whose needs are at hand."""
        session, stage = self._session, step.stage
        if not session.wanted():
            raise NotWanted(stage.name)
        key, part = self.key_of(step), session.part(stage, step.ink)
        given: dict[Stage[Any], Any] = {
            need: self.result(_Step(need, None)) for need in stage.needs}
        given.update({need: self._made[_Step(need, step.ink)] for need in stage.own_needs})
        look = look_for(Look(part.job, session.keep, self._content), stage, given,
                        session.settings, step.ink)
        made = session.keep.result(key, lambda: stage.make(look))
        if any(session.contents.digest(path) != self._content(path) for path in part.files):
            session.keep.forget([key])  # a file was written meanwhile
        return made

    def _make_side_by_side(self, steps: list[_Step], wanted: set[_Step]) -> None:
        """Make steps as soon as their needs are at hand, earlier ones first.

        Of several that fail the earliest one's fault is raised, whichever failed first.
        """
        missing = {step: {need for need in self._needs(step) if need not in self._made}
                   for step in steps}
        users = Counter(need for step in steps for need in set(self._needs(step)))
        begun: dict[Future[Any], _Step] = {}
        faults: dict[int, BaseException] = {}
        with ThreadPoolExecutor(WORKERS) as pool:
            while missing or begun:
                for step in [s for s in missing if not missing[s] and not self._spoilt(
                        steps.index(s), faults)]:
                    del missing[step]
                    begun[pool.submit(self._run, step)] = step
                if not begun:
                    break
                for future in wait(begun, return_when=FIRST_COMPLETED).done:
                    step = begun.pop(future)
                    if (failed := future.exception()) is not None:
                        faults[steps.index(step)] = failed
                        continue
                    self._made[step] = future.result()
                    for waiting in missing.values():
                        waiting.discard(step)
                    self._let_go(step, users, wanted)
        if faults:
            first = faults[min(faults)]
            faults.clear()
            del future, failed
            try:
                raise first
            finally:
                # A fault knows this call by its traceback. If this call knew the fault, neither
                # would go, nor what was made so far, before Python looks for such circles.
                del first

    @staticmethod
    def _spoilt(place: int, faults: dict[int, BaseException]) -> bool:
        """Whether a step comes after one that failed, so that it need not be begun."""
        return bool(faults) and place > min(faults)

    def _let_go(self, step: _Step, users: Counter[_Step], wanted: set[_Step]) -> None:
        """Drop what only this step was waiting for, so that memory follows the steps."""
        stays = wanted | self._session.at_hand.keys()
        for need in set(self._needs(step)):
            users[need] -= 1
            if not users[need] and need not in stays and not need.stage.known_by_value:
                self._made.pop(need, None)
