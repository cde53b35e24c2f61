"""A press day as plain data, for day.json."""

from __future__ import annotations

import json
from typing import Any

from separations.ink_need.ink_estimate import Range
from separations.report.cautions import DEFER, cautions_for
from separations.report.exposure_words import exposures_told
from separations.uses.press_day.day_plan import DayPlan, Step

FORMAT = 1


def day_json(plan: DayPlan) -> str:
    """The day as JSON text, the same for the same jobs."""
    return json.dumps(day_figures(plan), indent=1, ensure_ascii=False) + "\n"


def day_figures(plan: DayPlan) -> dict[str, Any]:
    """The day as a tree of plain values: masses in g, times in min as (least, most)."""
    return {
        "format": FORMAT,
        "stage": plan.stage,
        "jobs": [{"title": side.job.title, "date": side.job.date.isoformat(),
                  "side": side.job.side, "boards": side.job.boards, "revision": side.revision}
                 for side in plan.sides],
        "screens": [{"hit": use.hit, "frame": use.frame, "reclaimed_after": use.reclaimed_after,
                     "new_cloth": use.new_cloth} for use in plan.screens],
        "exposing": list(dict.fromkeys(told for side in plan.sides
                                       for told in exposures_told(side.job))),
        "steps": [_step(number, step) for number, step in enumerate(plan.steps, 1)],
        "inks": [{"ink": one.ink, "hits": one.hits, "run_g": _grams(one.run_g)}
                 for one in plan.inks],
        "ink_g": _grams(plan.ink_g),
        "waiting_min": list(plan.waiting_min),
        "notes": list(plan.notes),
        "cautions": [{"hazard": c.hazard, "keep_in_mind": c.keep_in_mind, "source": c.source}
                     for c in cautions_for(plan.stage)],
        "defer": DEFER,
    }


def _grams(grams: Range) -> dict[str, float]:
    return {"low": round(grams.low, 1), "likely": round(grams.likely, 1),
            "high": round(grams.high, 1)}


def _step(number: int, step: Step) -> dict[str, Any]:
    told: dict[str, Any] = {"number": number, "kind": step.kind, "told": step.told,
                            "source": str(step.source)}
    if step.run_g is not None:
        told |= {"hit": step.hit, "job": step.job, "side": step.side, "ink": step.ink,
                 "mesh": step.mesh,
                 "run_g": _grams(step.run_g)}
    if step.after is not None:
        told["wait"] = {"min": [step.after.least_min, step.after.most_min],
                        "until": step.waits_to, "source": str(step.after.source)}
    return told
