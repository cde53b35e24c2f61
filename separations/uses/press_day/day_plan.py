"""The order of a press day: what is hung, printed, dried, turned, sanded, varnished or pressed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from preflight.basis import Basis, Source, given
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable, Stage
from separations.ink_need.ink_estimate import InkEstimate, Range
from separations.ink_need.ink_orders import InkOrder
from separations.uses.press_day.drying import Wait, longest, varnish_wait, waits_for
from separations.uses.press_day.screens import ScreenUse, screens_for

Kind = Literal["hit", "turn", "sand", "varnish", "press"]

_PRACTICE = Source(basis=Basis.PRACTICE)


@dataclass(frozen=True, slots=True, kw_only=True)
class SideOfDay:
    """One job of the day.

    Attributes
    ----------
    job : Job
        The job.
    revision : str
        It and its files in eight letters.
    estimates : tuple of InkEstimate
        What each of its inks takes, in print order.
    """

    job: Job
    revision: str
    estimates: tuple[InkEstimate, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing that is done, and how long is waited after it.

    Attributes
    ----------
    kind : Kind
        What it is.
    told : str
        What to do, in words.
    job, side, ink, mesh : str
        Of a hit: the job's title, the side, the ink and its cloth; else empty.
    hit : int
        Number of the hit, from 1; 0 for other steps.
    run_g : Range or None
        Of a hit: the ink that the run takes (g).
    after : Wait or None
        What is waited before the next step; None where nothing is.
    waits_to : str
        Until when, in words.
    source : Source
        What the step rests on.
    """

    kind: Kind
    told: str
    source: Source
    job: str = ""
    side: str = ""
    ink: str = ""
    mesh: str = ""
    hit: int = 0
    run_g: Range | None = None
    after: Wait | None = None
    waits_to: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class InkOfDay:
    """One ink of the day.

    Attributes
    ----------
    ink : str
        Its name.
    hits : int
        In how many hits it is printed.
    run_g : Range
        What they take together (g).
    """

    ink: str
    hits: int
    run_g: Range


def _sum(hits: Sequence[Step]) -> Range:
    grams = [hit.run_g for hit in hits if hit.run_g is not None]
    return Range(low=sum(g.low for g in grams), likely=sum(g.likely for g in grams),
                 high=sum(g.high for g in grams))


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPlan:
    """A press day.

    Attributes
    ----------
    sides : tuple of SideOfDay
        The jobs, in the order in which they are printed.
    steps : tuple of Step
        In order.
    screens : tuple of ScreenUse
        For each hit, which frame it takes and when that is exposed.
    notes : tuple of str
        What is to be minded.
    """

    sides: tuple[SideOfDay, ...]
    steps: tuple[Step, ...]
    screens: tuple[ScreenUse, ...]
    notes: tuple[str, ...]

    @property
    def hits(self) -> tuple[Step, ...]:
        """The hits alone."""
        return tuple(step for step in self.steps if step.kind == "hit")

    @property
    def inks(self) -> tuple[InkOfDay, ...]:
        """What the day takes of each ink over all its hits, in the order of the first."""
        hits: dict[str, list[Step]] = {}
        for hit in self.hits:
            hits.setdefault(hit.ink.casefold(), []).append(hit)
        return tuple(InkOfDay(ink=some[0].ink, hits=len(some), run_g=_sum(some))
                     for some in hits.values())

    @property
    def ink_g(self) -> Range:
        """What the day takes of all inks together (g)."""
        return _sum(self.hits)

    @property
    def stage(self) -> Stage:
        """What the day prints on."""
        return self.sides[0].job.stage

    @property
    def waiting_min(self) -> tuple[float, float]:
        """All waits of the day together (min), least and most."""
        waits = [step.after for step in self.steps if step.after is not None]
        return sum(w.least_min for w in waits), sum(w.most_min for w in waits)


def plan_day(sides: Sequence[SideOfDay], orders: Sequence[InkOrder] = ()) -> DayPlan:
    """Put the jobs of a day in order and say what is waited for.

    Parameters
    ----------
    sides : sequence of SideOfDay
        The jobs.
    orders : sequence of InkOrder
        Their inks held against the stock list that they name.

    Raises
    ------
    InputProblem
        When the jobs are of different stages, or tell of the day in different ways.
    """
    first = sides[0].job
    for side in sides[1:]:
        if side.job.day != first.day or side.job.stage != first.stage:
            key = "day" if side.job.day != first.day else "stage"
            raise InputProblem(where=f"{side.job.path}: {key}",
                               found=f"'{key}' unlike that of {first.path.name}",
                               would_do=f"the same '{key}' in all jobs of a day")
    order = sorted(sides, key=lambda side: side.job.side != first.day.first_side)
    steps = tuple(_steps(order))
    hits = [step for step in steps if step.kind == "hit"]
    return DayPlan(sides=tuple(order), steps=steps,
                   screens=screens_for([hit.mesh for hit in hits], first.day.screens),
                   notes=(*(f"Ink: {word}." for one in orders for word in one.words),
                          *_notes(order)))


def _steps(sides: Sequence[SideOfDay]) -> Iterator[Step]:
    hit = 0
    for number, side in enumerate(sides):
        job = side.job
        printed = [(ink, estimate) for ink, estimate in zip(job.ink, side.estimates, strict=True)
                   if estimate.inked_cm2 > 0]
        for place, (ink, estimate) in enumerate(printed):
            hit += 1
            later = printed[place + 1][0] if place + 1 < len(printed) else None
            after, waits_to = _wait_after(ink, later, [one for one, _ in printed])
            mesh = ink.mesh or job.mesh
            yield Step(
                kind="hit", told=f"Print {ink.name}", source=given("the job's print order"),
                job=job.title, side=job.side, ink=ink.name,
                mesh=f"{mesh.count.written}, thread {mesh.thread.written}", hit=hit,
                run_g=estimate.run_g, after=after, waits_to=waits_to)
        if job.stage == "board" and any(other.job.side != job.side for other in sides[number + 1:
                                                                                    number + 2]):
            yield Step(kind="turn", told="Turn the boards over", source=_PRACTICE)
    yield from _finish([side.job for side in sides])


def _wait_after(ink: InkTable, later: InkTable | None,
                printed: Sequence[InkTable]) -> tuple[Wait, str]:
    """What is waited after a hit: for the next one, or until all of the side is dry through."""
    if later is None:
        return longest([waits_for(one, "through") for one in printed]), "all inks are dry through"
    if ink.cure == "air" and later.cure == "uv":
        return waits_for(ink, "through"), f"dry through, before the UV ink {later.name}"
    how = "cured" if ink.cure == "uv" else "dry to the touch"
    return waits_for(ink, "hit"), f"{how}, before {later.name}"


def _finish(jobs: Sequence[Job]) -> Iterator[Step]:
    """What follows the last hit."""
    job = jobs[0]
    if job.stage == "sheet":
        yield Step(kind="press", source=given("the job's [press] table"),
                   told=f"Press the sheets at {job.press.temperature.written}, then trim")
        return
    yield Step(kind="sand", told="Sand the print lightly and take off all dust", source=_PRACTICE)
    kinds = dict.fromkeys(one.finish.varnish for one in jobs if one.finish.varnish != "none")
    told = f" ({', '.join(kinds)})" if kinds else ""
    yield Step(kind="varnish", source=_PRACTICE, waits_to="the varnish is dry through",
               told=f"Varnish{told}; coats, and times between them, as its data sheet says",
               after=longest([varnish_wait(one.finish.dries_through) for one in jobs]))


def _notes(sides: Sequence[SideOfDay]) -> Iterator[str]:
    boards = {side.job.boards for side in sides}
    if len(boards) > 1:
        yield ("The jobs print different numbers of boards: " + ", ".join(
            f"{side.job.title} {side.job.boards}" for side in sides) + ".")
    names = {side.job.board.name for side in sides}
    if len(names) > 1:
        yield f"The jobs are for different boards: {', '.join(sorted(names))}."
    for side in sides:
        blank = [e.ink for e in side.estimates if e.inked_cm2 == 0]
        if blank:
            yield (f"{side.job.title}: no dot of {', '.join(blank)} is printed, so no screen is "
                   "made.")
    mixed = {ink.cure for side in sides for ink in side.job.ink}
    if len(mixed) > 1:
        yield ("UV and air-drying inks lie on each other: print a trial piece; their data sheets "
               "say whether one sticks to the other.")
