"""The report's table of every limit of the checks, and what each rests on."""

from __future__ import annotations

from preflight.checks.limits import all_limits
from separations.report.report_pictures import ReportTable


def limits_table() -> ReportTable:
    """Every limit with its figure and its source, or the words that it has none."""
    return ReportTable(
        title="All limits of the checks", heads=("Limit on", "#Limit", "Rests on", "Source"),
        rows=tuple((limit.name, str(limit.figure), limit.basis.value, limit.told)
                   for limit in all_limits()))
