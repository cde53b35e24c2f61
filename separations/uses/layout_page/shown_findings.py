"""Findings and ink as the page shows them, as plain values."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from preflight.findings import Finding
from preflight.job_file.job import Job
from preflight.mends.mend import Mend, owner_told
from separations.ink_need.ink_estimate import InkEstimate, Range
from separations.ink_need.ink_table import TIN_G, ink_total

#: What keys that mends set are called where their own name does not say it.
_KEYS_IN_WORDS = {
    "offset_along": "place along the board", "offset_across": "place across the board",
    "place": "placement", "at": "place", "smallest_tone": "lightest tone with dots",
    "largest_tone": "darkest tone with holes", "tone_sum_limit": "limit of the tone sum",
    "panels": "films in panels", "stroke": "direction of the stroke", "turn": "turn (degrees)"}


def finding_told(finding: Finding) -> dict[str, Any]:
    """A finding: words, figures and place."""
    place = finding.place
    return {
        "id": finding.id, "check": finding.check, "subject": finding.subject,
        "grade": finding.grade.value, "says": finding.says, "mend": finding.mend,
        "measured": str(finding.measured), "limit": str(finding.limit),
        "source": str(finding.source), "where": str(place) if place else "",
        "box": [place.least_x_mm, place.least_y_mm, place.greatest_x_mm, place.greatest_y_mm]
        if place else None}


def mend_told(mend: Mend, job: Job) -> dict[str, Any]:
    """A mend: what it sets, in words and as the key's path."""
    key = str(mend.key_path[-1])
    owner = owner_told(job, mend.key_path)
    words = _KEYS_IN_WORDS.get(key, key.replace("_", " "))
    return {"key": mend.key_told, "words": f"{words} of {owner}" if owner else words,
            "before": mend.before, "after": mend.after, "why": mend.why,
            "path": list(mend.key_path)}


def ink_told(estimates: Sequence[InkEstimate], boards: int) -> dict[str, Any]:
    """What one board and the run take, in grams: low, likely, high."""
    total = ink_total(estimates)
    return {"boards": boards, "tin": TIN_G, "tins": total.tins,
            "inks": [{"ink": one.ink, "tone": one.mean_tone, "board": _range(one.board_g),
                      "run": _range(one.run_g)} for one in estimates],
            "board": _range(total.board_g), "run": _range(total.run_g)}


def _range(grams: Range) -> list[float]:
    return [round(grams.low, 4), round(grams.likely, 4), round(grams.high, 4)]
