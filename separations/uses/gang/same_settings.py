"""Whether jobs can share films: the same inks in the same order, halftones, meshes and films."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from preflight.nouns import counted


class Setting(NamedTuple):
    """One key of a job: its path, what it comes to, and how that is told."""

    key: str
    value: object
    told: str


def check_same_settings(jobs: Sequence[Job]) -> None:
    """Refuse jobs that cannot be exposed and printed as one.

    Parameters
    ----------
    jobs : sequence of Job
        The pieces' jobs; the first is what the others are held against.

    Raises
    ------
    InputProblem
        At the first key that differs; it names the file, the key and both values.
    """
    first = jobs[0]
    for job in jobs[1:]:
        if len(job.ink) != len(first.ink):
            raise InputProblem(where=f"{job.path}: ink", found=counted(len(job.ink), "ink"),
                               would_do=f"the {counted(len(first.ink), 'ink')} of "
                                        f"{first.path.name}")
        for asked, found in zip(_settings(first), _settings(job), strict=True):
            if asked.value != found.value:
                raise InputProblem(
                    where=f"{job.path}: {found.key}", found=found.told,
                    would_do=f"{asked.told} as in {first.path.name}, since they share films,")


def _settings(job: Job) -> Iterator[Setting]:
    film = job.film
    for key in ("resolution", "width", "length"):
        quantity = getattr(film, key)
        yield Setting(f"film.{key}", quantity.dpi if key == "resolution" else quantity.mm,
                      f"'{quantity.written}'")
    for key in ("reading", "coding", "scale_along", "scale_across"):
        yield Setting(f"film.{key}", getattr(film, key), f"'{getattr(film, key)}'")
    yield Setting("film.also", frozenset(film.also), _listed(film.also))
    yield Setting("film.marks", film.marks, "all" if film.marks is None else _listed(film.marks))
    yield Setting("separation.small_dots", job.separation.small_dots,
                  f"'{job.separation.small_dots}'")
    for number, ink in enumerate(job.ink, 1):
        yield from _ink_settings(job, ink, f"ink[{number}]")


def _listed(words: tuple[str, ...]) -> str:
    return ", ".join(f"'{word}'" for word in words) or "nothing"


def _ink_settings(job: Job, ink: InkTable, where: str) -> Iterator[Setting]:
    yield Setting(f"{where}.name", ink.name, f"'{ink.name}'")
    for key in ("colour", "over_white", "over_black", "opacity", "reflectance", "density",
                "left_in_screen"):
        value = getattr(ink, key)
        yield Setting(f"{where}.{key}", value, "nothing" if value is None else f"'{value}'")
    yield Setting(f"{where}.angle", ink.angle.deg, f"'{ink.angle.written}'")
    spec, ruling = job.halftone_of(ink), job.ruling_of(ink)
    yield Setting(f"{where}.ruling" if ink.ruling else "halftone.ruling", spec.ruling_lpcm,
                  f"'{ruling.written}'")
    yield Setting(f"{where}.dot_shape" if ink.dot_shape else "halftone.dot_shape",
                  spec.dot_shape, f"'{spec.dot_shape}'")
    mesh = ink.mesh or job.mesh
    yield Setting(f"{where}.mesh" if ink.mesh else "mesh", job.mesh_of(ink),
                  f"'{mesh.count.written}, thread {mesh.thread.written}, angle "
                  f"{mesh.angle.written}'")
    if not spec.is_periodic:
        yield Setting(f"{where}.stochastic_dot", spec.stochastic_dot_um,
                      f"'{spec.stochastic_dot_um:.0f} µm'")
    for key, tone in (("smallest_tone", spec.smallest_tone), ("largest_tone", spec.largest_tone)):
        yield Setting(f"halftone.{key}", tone, f"'{tone * 100:.3g} %'")
