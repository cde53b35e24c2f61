"""What the varnish does to wood and inks, before and after, as a table of the report."""

from __future__ import annotations

from collections.abc import Iterator

from preflight.job_file.job import Job
from separations.colour.colorimetry import colour_difference
from separations.colour.varnish import model_under
from separations.proof.shown_pictures import ReportTable

#: Overprints of more inks are left out, and of these some where there are many. Own rules.
_MOST_INKS, _MOST_ROWS = 2, 12


def varnish_tables(job: Job) -> tuple[ReportTable, ...]:
    """The table of wood, solids and overprints of two; none of a job without varnish."""
    if job.finish.varnish == "none":
        return ()
    rows = tuple(_rows(job))
    return (ReportTable(
        title=f"Under {job.finish.varnish} varnish", rows=rows[:_MOST_ROWS],
        heads=("Solids", "#L* before", "#a*", "#b*", "#L* after", "#a*", "#b*", "#ΔE00"),
        note="What the model makes of the clear coat (Saunderson 1942), as seen beside the lamp's "
             "reflection. Films are the same with and without it. Read a varnished print of the "
             "wedge to know: coats and wood differ."),)


def _rows(job: Job) -> Iterator[tuple[str, ...]]:
    """Wood, solids and overprints, fewest inks first."""
    before, after = (model_under(job, varnish).primaries_lab
                     for varnish in ("none", job.finish.varnish))
    for index in sorted((one for one in range(len(before)) if one.bit_count() <= _MOST_INKS),
                        key=lambda index: (index.bit_count(), index)):
        inks = [ink.name for place, ink in enumerate(job.ink) if index >> place & 1]
        off = float(colour_difference(before[index], after[index]))
        yield (" + ".join(inks) or "bare wood", *map(_shown, before[index]),
               *map(_shown, after[index]), f"{off:.1f}")


def _shown(value: float) -> str:
    return f"{value:.1f}".replace("-0.0", "0.0").replace("-", "−")
