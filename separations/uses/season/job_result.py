"""What became of one of many jobs, as read from its output."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from preflight.input_problem import ExitStatus

State = Literal["made", "as before", "films withheld", "not made"]
_GRADES = ("stop", "care", "note")


@dataclass(frozen=True, slots=True, kw_only=True)
class JobResult:
    """One job of many.

    Attributes
    ----------
    job, out : str
        Its file and its output folder.
    state : State
        ``as before``: its output was whole and made of just this already.
    status : int
        As the command's exit status for this job alone.
    says : str
        Why it was not made; else empty.
    report : dict
        Its report.json; empty when it was not made.
    seconds : float
        Wall time (s) of making it.
    peak_mib : float
        Most memory that its process held (MiB), as far as was seen.
    """

    job: str
    out: str
    state: State
    status: int
    says: str = ""
    report: dict[str, Any]
    seconds: float = 0.0
    peak_mib: float = 0.0

    @property
    def grade(self) -> str:
        """The gravest grade among its findings: stop, care, note or clear."""
        verdict = self.report.get("verdict", {})
        return next((grade for grade in _GRADES if verdict.get(grade)), "clear")

    @property
    def worst(self) -> dict[str, Any] | None:
        """The first of its gravest findings."""
        found = self.report.get("findings", [])
        return next((f for f in found if f["grade"] == self.grade), None)

    def as_line(self) -> str:
        """The result as one line of JSON; see season_schema.json."""
        return json.dumps({
            "format": 1, "job": self.job, "out": self.out, "state": self.state,
            "status": self.status, "says": self.says,
            "grade": self.grade if self.report else None,
            "verdict": self.report.get("verdict"),
            "findings": [{key: f.get(key) for key in ("id", "grade", "subjects", "says")}
                         for f in self.report.get("findings", [])],
            "ink_g": {e["ink"]: e["run_g"]["likely"]
                      for e in self.report.get("ink_estimates", [])},
            "seconds": round(self.seconds, 2), "peak_mib": round(self.peak_mib),
        }, ensure_ascii=False)


def result_of_output(job: Path, out: Path, *, again: bool, seconds: float = 0.0,
                     peak_mib: float = 0.0) -> JobResult:
    """The result that an output folder tells; ``again``: it was made by this call."""
    report = json.loads((out / "report.json").read_text(encoding="utf-8"))
    withheld, stops = bool(report["films_withheld"]), report["verdict"]["stop"]
    return JobResult(
        job=str(job), out=str(out), report=report, seconds=seconds, peak_mib=peak_mib,
        state="films withheld" if withheld else "made" if again else "as before",
        status=ExitStatus.STOP_FINDING if stops else ExitStatus.CLEAR)


def status_of_all(results: tuple[JobResult, ...]) -> int:
    """The exit status over all: a fault of topsheet's own, then bad input, then a stop."""
    found = {result.status for result in results}
    order = (ExitStatus.OWN_FAULT, ExitStatus.BAD_INPUT, ExitStatus.STOP_FINDING)
    return next((int(status) for status in order if status in found), 0)
