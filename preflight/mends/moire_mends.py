"""Moiré that a simulation found, and settings that a simulation found clear."""

from __future__ import annotations

from collections.abc import Iterator

from preflight.checks import limits
from preflight.facts.moire_facts import ClearSetting, MoireFacts
from preflight.facts.submission import Submission
from preflight.job_file.job import Job
from preflight.mends.mend import NOTHING, KeyPath, Mend, Shunned
from preflight.units import Ruling, ruling


def moire_mends(submission: Submission, shunned: Shunned = NOTHING) -> Iterator[Mend]:
    """For each ink that will be seen to beat, the first of its clear settings not yet tried.

    To turn an underbase costs nothing, so that faint moiré with it is mended too.
    """
    taken: set[KeyPath] = set()
    for facts in submission.moire:
        seen = limits.MOIRE_FAINT if facts.partner == "underbase" else limits.MOIRE_PLAIN
        if facts.times_threshold < seen.value:
            continue
        for mend in _settings(submission.job, facts):
            if mend.key_path not in taken and shunned.allows(mend.key_path, mend.after):
                taken.add(mend.key_path)
                yield mend
                break


def _settings(job: Job, facts: MoireFacts) -> Iterator[Mend]:
    """Angles before mesh turns before rulings: what costs the operator least comes first."""
    for what in ("angle", "mesh angle", "ruling"):
        for setting in facts.mends:
            if setting.what == what:
                yield _mend(job, setting, facts)


def _mend(job: Job, setting: ClearSetting, facts: MoireFacts) -> Mend:
    number = next(n for n, ink in enumerate(job.ink) if ink.name == setting.ink)
    ink = job.ink[number]
    partner = "the mesh" if facts.partner == "mesh" else facts.inks[-1]
    why = (f"{facts.inks[0]} made moiré with {partner}, bands {facts.period_mm:.1f} mm apart; with "
           f"{setting.told} a simulated print is clear.")
    if setting.what == "angle":
        return Mend(key_path=("ink", number, "angle"), before=ink.angle.deg,
                    after=float(setting.value), why=why)
    if setting.what == "mesh angle":
        table = ink.mesh or job.mesh
        return Mend(key_path=("ink", number, "mesh", "angle") if ink.mesh else ("mesh", "angle"),
                    before=table.angle.deg, after=float(setting.value), why=why)
    before = job.ruling_of(ink)
    return Mend(key_path=("ink", number, "ruling"),
                before=ink.ruling.written if ink.ruling else None,
                after=_in_unit_of(before, setting.value), why=why)


def _in_unit_of(like: Ruling, lpi: float) -> str:
    if "cm" in like.written:
        return f"{ruling(f'{lpi:g} lpi').lpcm:.2f} l/cm"
    return f"{lpi:g} lpi"
