"""What a stage is: a pure function with a name, what it reads of the job, and what it stands on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Generic, TypeVar, cast

from preflight.job_file.job import Job
from preflight.job_file.job_part import Read, reads_of
from separations.pipeline.kept_results import KeptResults

Result = TypeVar("Result")
Made = TypeVar("Made", covariant=True)
#: What a look may ask for besides what stands in the job.
SETTINGS = ("finest_ppi", "proof_ppi")


class Undeclared(LookupError):
    """A stage asked for something that it does not say it needs: a fault of ours."""


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """All that a stage is given. Settings and keys of the job that it did not name are not there.

    Attributes
    ----------
    job : Job
        The keys that the stage reads.
    keep : KeptResults
        Keeps what a stage makes on the way, where it follows from plain values (`by_value`).
    content_of : callable
        Tells a file by what it holds.
    ink : int
        For a stage of each ink: which, in print order from 0.
    finest_ppi : float or None
        Photographs and line work are worked no finer than this; None as fine as films have use
        for.
    proof_ppi : float
        Resolution of the proof.
    """

    job: Job
    keep: KeptResults
    content_of: Callable[[Path], str]
    ink: int = field(init=False)
    finest_ppi: float | None = field(init=False)
    proof_ppi: float = field(init=False)
    _made: dict[Stage[Any], Any] = field(init=False)
    _stage: Stage[Any] = field(init=False)

    def of(self, stage: Stage[Result]) -> Result:
        """The result of a stage that this one needs; of a stage of each ink those of all inks."""
        if stage not in self._stage.needs:
            raise Undeclared(f"{self._stage.name} does not say that it needs {stage.name}")
        return cast("Result", self._made[stage])

    def of_own_ink(self, stage: InkStage[Result]) -> Result:
        """The result, for this stage's own ink, of a stage of each ink that this one needs."""
        if stage not in self._stage.own_needs:
            raise Undeclared(f"{self._stage.name} does not say that it needs its own {stage.name}")
        return cast("Result", self._made[stage])


@dataclass(frozen=True, slots=True, eq=False)
class Stage(Generic[Made]):
    """One step from a job to its findings, pictures and films.

    Attributes
    ----------
    name : str
        In words.
    make : callable
        The step: a pure function of what it is given.
    reads : str
        Keys of the job, as `preflight.job_file.job_part.reads_of` takes them, and names of
        `SETTINGS`.
    needs : tuple of Stage
        Whose results it asks for.
    known_by_value : bool
        What stands on it depends on its result, which must be a plain value, and not on what that
        was made from: where a changed job leads to the same value nothing further changes.
    """

    name: str
    make: Callable[[Look], Made]
    reads: str = ""
    needs: tuple[Stage[Any], ...] = ()
    known_by_value: bool = False

    @property
    def own_needs(self) -> tuple[InkStage[Any], ...]:
        """Stages of each ink of which only the own ink's result is asked for."""
        return ()

    @property
    def job_reads(self) -> tuple[Read, ...]:
        """The keys of the job."""
        return reads_of(" ".join(word for word in self.reads.split() if word not in SETTINGS))

    @property
    def settings(self) -> tuple[str, ...]:
        """The settings that it reads."""
        return tuple(word for word in self.reads.split() if word in SETTINGS)


@dataclass(frozen=True, slots=True, eq=False)
class InkStage(Stage[tuple[Made, ...]], Generic[Made]):
    """A stage that is made for each ink by itself; its result has one entry an ink.

    Attributes
    ----------
    own : tuple of InkStage
        Stages of each ink of which only the same ink's result is needed.
    """

    make: Callable[[Look], Made]  # type: ignore[assignment]
    own: tuple[InkStage[Any], ...] = ()

    @property
    def own_needs(self) -> tuple[InkStage[Any], ...]:
        """As told for all stages."""
        return self.own


def look_for(look: Look, stage: Stage[Any], made: dict[Stage[Any], Any],
             settings: dict[str, Any], ink: int | None) -> Look:
    """Complete what a stage is given: results it needs, and of the settings what it reads."""
    given = {"_made": made, "_stage": stage, **{name: settings[name] for name in stage.settings}}
    if ink is not None:
        given["ink"] = ink
    for name, value in given.items():
        object.__setattr__(look, name, value)
    return look
