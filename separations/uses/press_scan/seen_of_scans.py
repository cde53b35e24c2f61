"""What pictures of the test sheet tell beside tone curves, for the press profile and in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from preflight.job_file.job import Job
from preflight.press.seen_print import SeenPrint
from separations.colour.seen_print_words import seen_print_told
from separations.uses.calibration.wedge_films import WedgeSheet
from separations.uses.press_scan.ink_register import (
    ink_registers,
    unread_register_told,
)
from separations.uses.press_scan.scan_dots import counted_end, uncounted_told
from separations.uses.press_scan.scan_exposure import held_steps
from separations.uses.press_scan.scan_reading import ScanReading


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenOfScans:
    """What was seen of each ink, by its name, and a sentence for each thing."""

    inks: Mapping[str, SeenPrint]
    says: tuple[str, ...]


def seen_of_scans(job: Job, laid: WedgeSheet, read: Sequence[ScanReading]) -> SeenOfScans:
    """Join what was seen in pictures of one sheet."""
    marks = [mark for scan in read for mark in scan.seen.register]
    registers = ink_registers(marks, laid, job.ink[0].name)
    dots = [step for scan in read for step in scan.seen.dots]
    steps = held_steps([field for scan in read for field in scan.seen.exposure])
    inks, coarse = {}, []
    for place, ink in enumerate(job.ink):
        least, most = (counted_end(dots, place, holes=holes) for holes in (False, True))
        inks[ink.name] = SeenPrint(
            register=registers.get(place), smallest_tone=least.held, lost_tone=least.lost,
            largest_tone=most.held, closed_tone=most.lost, exposure_step=steps.get(place))
        coarse += [uncounted_told(ink.name, what, end) for what, end in
                   (("dots", least), ("holes", most)) if end.uncounted is not None]
    says = [told for name, seen in inks.items() for told in seen_print_told(name, seen)]
    says += coarse
    unread = [ink.name for place, ink in enumerate(job.ink) if place and place not in registers]
    if unread:
        says.append(unread_register_told(unread, len(marks)))
    return SeenOfScans(inks=inks, says=tuple(says))
