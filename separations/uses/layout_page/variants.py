"""A row of variants of a job: other renderings, ink sets or rulings, each a few edits away."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal, get_args

from preflight.job_file.job import Job
from preflight.job_file.photo_values import RENDERINGS

VariantKind = Literal["rendering", "inks", "ruling"]
VARIANT_KINDS: tuple[VariantKind, ...] = get_args(VariantKind)
#: How far the eye takes the wood for white: not at all, half, wholly.
_ADAPTATIONS = (0.0, 0.5, 1.0)
#: Rulings offered, in lines per inch and per cm: those that common meshes carry. Common practice.
_LPI, _LPCM = (30, 35, 40, 45, 50, 55, 65), (12, 14, 16, 18, 20, 22, 26)


@dataclass(frozen=True, slots=True, kw_only=True)
class Variant:
    """One of them.

    Attributes
    ----------
    label : str
        What is different, in words.
    edits : tuple of dict
        What leads to it, as `separations.uses.layout_page.edits.edited` takes them; none for what
        the job has now.
    """

    label: str
    edits: tuple[dict[str, Any], ...]


def variants_of(job: Job, kind: VariantKind) -> tuple[Variant, ...]:
    """The job as it is, and what stands beside it."""
    match kind:
        case "rendering":
            return tuple(_renderings(job))
        case "inks":
            return tuple(_ink_sets(job))
        case "ruling":
            return tuple(_rulings(job))


def _renderings(job: Job) -> Iterator[Variant]:
    """Each rendering, for an eye that takes the wood for white more or less."""
    now = job.separation
    for name in RENDERINGS:
        for adaptation in sorted({*_ADAPTATIONS, now.adaptation}):
            edits: list[dict[str, Any]] = []
            if name != now.rendering:
                edits.append({"set": ["separation", "rendering"], "to": name})
            if adaptation != now.adaptation:
                edits.append({"set": ["separation", "adaptation"], "to": adaptation})
            yield Variant(label=f"{name}, the eye takes the wood for white: {_taken(adaptation)}",
                          edits=tuple(edits))


def _taken(adaptation: float) -> str:
    words = {0.0: "not at all", 1.0: "wholly"}
    return words.get(adaptation, f"by {100 * adaptation:.0f} %")


def _ink_sets(job: Job) -> Iterator[Variant]:
    """All photo inks, all but one, and the darkest alone: what a press day would save or gain."""
    photo = [n for n, ink in enumerate(job.ink) if ink.prints != "underbase"]
    now = [n for n in photo if job.ink[n].prints == "photo"]
    sets = [now, photo, *([n for n in photo if n != left] for left in photo), *([n] for n in photo)]
    seen: list[list[int]] = []
    for wanted in sets:
        if not wanted or wanted in seen or len(wanted) > 8:
            continue
        seen.append(wanted)
        yield Variant(label=", ".join(job.ink[n].name for n in wanted),
                      edits=tuple(_ink_edits(job, photo, wanted)))


def _ink_edits(job: Job, photo: list[int], wanted: list[int]) -> Iterator[dict[str, Any]]:
    for n in photo:
        prints = "photo" if n in wanted else "line work"
        if job.ink[n].prints != prints:
            yield {"set": ["ink", n, "prints"], "to": prints}
    black = job.separation.black_ink
    if black is not None and black not in {job.ink[n].name for n in wanted}:
        yield {"unset": ["separation", "black_ink"]}


def _rulings(job: Job) -> Iterator[Variant]:
    ruling = job.halftone.ruling
    in_inches = "cm" not in ruling.written
    offered = [f"{n} lpi" for n in _LPI] if in_inches else [f"{n} l/cm" for n in _LPCM]
    for written in sorted({ruling.written, *offered}, key=lambda one: float(one.split()[0])):
        yield Variant(label=written, edits=() if written == ruling.written else (
            {"set": ["halftone", "ruling"], "to": written},))
