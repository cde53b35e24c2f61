"""All jobs of a call at a look: their ink against the stock, and the screens that they share."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from separations.stock.ink_stock import InkStock, StockInk
from separations.uses.season.job_result import JobResult, JobScreen

FORMAT = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class InkOfAll:
    """One ink over all jobs.

    Attributes
    ----------
    ink : str
        Its name, as the first job has it.
    colour : str or None
        The known colour that jobs name for it.
    jobs : tuple of str
        Names of the jobs that print it: their titles, with the file's name where titles repeat.
    run_g : tuple of float
        Ink for all runs (g): low, likely, high.
    solid_srgb : tuple of int, or None
        Its printed solid, 0 to 255, on the first job's wood.
    stock_ink : str or None
        What the stock list calls it; None without a list, or where it is not on it.
    stock_g : float or None
        What the list tells of it on the shelf (g).
    """

    ink: str
    colour: str | None
    jobs: tuple[str, ...]
    run_g: tuple[float, float, float]
    solid_srgb: tuple[int, int, int] | None
    stock_ink: str | None
    stock_g: float | None

    @property
    def short_g(self) -> float | None:
        """What the likely need is more than the shelf holds (g); None where that is not known."""
        return None if self.stock_g is None else max(self.run_g[1] - self.stock_g, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedCloth:
    """Screens of the same cloth: any of them may be coated for any of these films."""

    mesh: str
    thread: str
    screens: int
    jobs: int
    rulings: tuple[str, ...]
    inks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsInARow:
    """Jobs whose inks, meshes and rulings are the same in the same order of print."""

    jobs: tuple[str, ...]
    inks: tuple[str, ...]
    meshes: tuple[str, ...]
    rulings: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Overview:
    """What the page over all jobs shows."""

    results: tuple[JobResult, ...]
    stock: str | None
    inks: tuple[InkOfAll, ...]
    cloths: tuple[SharedCloth, ...]
    rows: tuple[JobsInARow, ...]

    @property
    def made(self) -> tuple[JobResult, ...]:
        """The jobs that have an output."""
        return tuple(result for result in self.results if result.state != "not made")


def overview_of(results: Sequence[JobResult], stock: InkStock | None = None) -> Overview:
    """Add up what many jobs take.

    Parameters
    ----------
    results : sequence of JobResult
        In the order told.
    stock : InkStock, optional
        What lies on the shelf.
    """
    made = [result for result in results if result.state != "not made"]
    names = _names(made)
    inks, cloths, rows = defaultdict(list), defaultdict(list), defaultdict(list)
    for result in made:
        for screen in result.screens:
            inks[screen.ink.casefold(), screen.colour].append((result, screen))
            cloths[screen.threads_per_cm, screen.thread_um].append((result, screen))
        rows[tuple(map(_set_up, result.screens))].append(result)
    return Overview(
        results=tuple(results), stock=stock.name if stock else None,
        inks=tuple(_ink_of_all(uses, names, stock) for _, uses in sorted(
            inks.items(), key=lambda item: -_grams(item[1])[1])),
        cloths=tuple(_cloth(uses) for _, uses in sorted(
            cloths.items(), key=lambda item: (-len(item[1]), item[0]))),
        rows=tuple(_row(jobs, names) for _, jobs in sorted(
            rows.items(), key=lambda item: -len(item[1]))))


def overview_values(overview: Overview) -> dict[str, Any]:
    """The overview as plain values; see overview_schema.json.

    How long a job took, and whether it was made now or before, is no part of it: the same jobs
    give the same overview.
    """
    jobs = []
    for result in overview.results:
        told = asdict(result) | {"grade": result.grade, "made": result.state != "not made"}
        jobs.append({key: value for key, value in told.items()
                     if key not in ("state", "seconds", "peak_mib")})
    return {"format": FORMAT, "stock": overview.stock, "jobs": jobs,
            "inks": [asdict(ink) | {"short_g": ink.short_g} for ink in overview.inks],
            "cloths": [asdict(cloth) for cloth in overview.cloths],
            "jobs_in_a_row": [asdict(row) for row in overview.rows]}


def _names(jobs: Sequence[JobResult]) -> dict[str, str]:
    """A name for each job file: its job's title, with the file's name where several have that."""
    alike = Counter(job.title for job in jobs)
    return {job.job: job.title if alike[job.title] == 1
            else f"{job.title} ({Path(job.job).stem})" for job in jobs}


_Uses = list[tuple[JobResult, JobScreen]]


def _grams(uses: _Uses) -> tuple[float, float, float]:
    spans = [screen.run_g for _, screen in uses if screen.run_g is not None]
    low, likely, high = (round(sum(span[i] for span in spans), 3) for i in range(3))
    return low, likely, high


def _ink_of_all(uses: _Uses, names: Mapping[str, str], stock: InkStock | None) -> InkOfAll:
    first = uses[0][1]
    held = _in_stock(first, stock) if stock else None
    return InkOfAll(
        ink=first.ink, colour=first.colour, jobs=tuple(names[result.job] for result, _ in uses),
        run_g=_grams(uses), solid_srgb=first.solid_srgb,
        stock_ink=held.name if held else None, stock_g=held.grams if held else None)


def _in_stock(screen: JobScreen, stock: InkStock) -> StockInk | None:
    """The stock's ink of the same name; else the only one of the same known colour."""
    named = [ink for ink in stock.ink if ink.name.casefold() == screen.ink.casefold()]
    alike = [ink for ink in stock.ink if screen.colour and ink.colour == screen.colour]
    return next(iter(named or (alike if len(alike) == 1 else [])), None)


def _cloth(uses: _Uses) -> SharedCloth:
    first = uses[0][1]
    return SharedCloth(
        mesh=first.mesh, thread=first.thread, screens=len(uses),
        jobs=len({id(result) for result, _ in uses}),
        rulings=tuple(dict.fromkeys(s.ruling for _, s in sorted(
            uses, key=lambda use: use[1].ruling_lpcm))),
        inks=tuple(dict.fromkeys(screen.ink for _, screen in uses)))


def _set_up(screen: JobScreen) -> tuple[object, ...]:
    return (screen.ink.casefold(), screen.colour, screen.threads_per_cm, screen.thread_um,
            screen.ruling_lpcm)


def _row(jobs: list[JobResult], names: Mapping[str, str]) -> JobsInARow:
    screens = jobs[0].screens
    return JobsInARow(jobs=tuple(names[job.job] for job in jobs),
                      inks=tuple(screen.ink for screen in screens),
                      meshes=tuple(dict.fromkeys(screen.mesh for screen in screens)),
                      rulings=tuple(dict.fromkeys(screen.ruling for screen in screens)))
