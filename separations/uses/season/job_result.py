"""What became of one of many jobs, as read from its output."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Literal

from preflight.input_problem import ExitStatus
from preflight.job_file.job import Job
from separations.pipeline.made_of import FILE_NAME

State = Literal["made", "as before", "not made"]
JobGrade = Literal["stop", "care", "note", "clear"]
FORMAT = 1
_GRADES: tuple[JobGrade, ...] = ("stop", "care", "note")


@dataclass(frozen=True, slots=True, kw_only=True)
class JobFinding:
    """A finding that is not clear, as a job's report has it."""

    id: str
    grade: JobGrade
    check: str
    subject: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JobScreen:
    """One ink of a job with the screen that prints it, in print order.

    Attributes
    ----------
    colour : str or None
        The known colour that the job names for it.
    ruling, mesh, thread : str
        As the job has them written.
    ruling_lpcm, threads_per_cm, thread_um, angle_deg : float
        In lines/cm, threads/cm, µm, and degrees anticlockwise from the board's long axis.
    solid_srgb : tuple of int, or None
        The printed solid's colour, 0 to 255.
    run_g : tuple of float, or None
        Ink for the run (g): low, likely, high. None where no ink was estimated.
    """

    ink: str
    colour: str | None
    prints: str
    ruling: str
    ruling_lpcm: float
    angle_deg: float
    mesh: str
    threads_per_cm: float
    thread: str
    thread_um: float
    solid_srgb: tuple[int, int, int] | None
    run_g: tuple[float, float, float] | None


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
    made_of : str
        Digest of what its output was made of; empty when it was not made.
    title, board : str
        The job's own words; empty when it was not made.
    boards : int
        How many are to be printed.
    films : int
        How many films were made; none when a stop finding withheld them.
    findings : tuple of JobFinding
        What is not in order, gravest first.
    screens : tuple of JobScreen
        Its inks, in print order.
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
    made_of: str = ""
    title: str = ""
    board: str = ""
    boards: int = 0
    films: int = 0
    films_withheld: bool = False
    findings: tuple[JobFinding, ...] = ()
    screens: tuple[JobScreen, ...] = ()
    seconds: float = 0.0
    peak_mib: float = 0.0

    @property
    def grade(self) -> JobGrade | None:
        """The gravest grade among its findings; None of a job that was not made."""
        if self.state == "not made":
            return None
        return self.findings[0].grade if self.findings else "clear"

    @property
    def run_g(self) -> tuple[float, float, float]:
        """Ink of all screens for the run (g): low, likely, high."""
        spans = [screen.run_g for screen in self.screens if screen.run_g is not None]
        low, likely, high = (sum(span[i] for span in spans) for i in range(3))
        return low, likely, high

    def as_line(self) -> str:
        """The result as one line of JSON; see season_schema.json."""
        return json.dumps({"format": FORMAT, "grade": self.grade, **asdict(self)},
                          ensure_ascii=False)


def result_of_output(job: Job, path: Path, out: Path, *, again: bool, seconds: float = 0.0,
                     peak_mib: float = 0.0) -> JobResult:
    """The result that an output folder tells; ``again``: it was made by this call."""
    colours = {ink.name: ink.colour for ink in job.ink}
    report = json.loads((out / "report.json").read_text(encoding="utf-8"))
    made_of = out / FILE_NAME
    grams = {e["ink"]: e["run_g"] for e in report["ink_estimates"]}
    return JobResult(
        job=str(path), out=str(out), seconds=round(seconds, 2), peak_mib=round(peak_mib),
        state="made" if again else "as before", films_withheld=bool(report["films_withheld"]),
        status=int(ExitStatus.STOP_FINDING if report["verdict"]["stop"]
                   else ExitStatus.CLEAR),
        made_of=hashlib.sha256(made_of.read_bytes()).hexdigest()[:32] if made_of.is_file() else "",
        title=report["job"]["title"], board=report["board"]["name"],
        boards=report["job"]["boards"], films=report["verdict"]["films"],
        findings=tuple(JobFinding(id=f["id"], grade=f["grade"], check=f["check"],
                                  subject=f["subject"], says=f["says"])
                       for grade in _GRADES for f in report["findings"] if f["grade"] == grade),
        screens=tuple(_screen(ink, colours.get(ink["name"]), grams.get(ink["name"]))
                      for ink in report["inks"]))


def job_not_made(job: Path, out: Path, status: int, says: str) -> JobResult:
    """The result of a job that could not be made, with the sentence that tells why."""
    return JobResult(job=str(job), out=str(out), state="not made", status=int(status), says=says)


def status_of_all(results: tuple[JobResult, ...]) -> int:
    """The exit status over all: a fault of topsheet's own, then bad input, then a stop."""
    found = {result.status for result in results}
    order = (ExitStatus.OWN_FAULT, ExitStatus.BAD_INPUT, ExitStatus.STOP_FINDING)
    return next((int(status) for status in order if status in found), 0)


def _screen(ink: dict[str, Any], colour: str | None,
            grams: dict[str, float] | None) -> JobScreen:
    mesh, solid = ink["mesh"], ink["solid_srgb"]
    return JobScreen(
        ink=ink["name"], colour=colour, prints=ink["prints"], ruling=ink["ruling_written"],
        ruling_lpcm=ink["ruling_lpcm"], angle_deg=ink["angle_deg"], mesh=mesh["count_written"],
        threads_per_cm=mesh["threads_per_cm"], thread=mesh["thread_written"],
        thread_um=mesh["thread_um"],
        solid_srgb=(solid[0], solid[1], solid[2]) if solid else None,
        run_g=(grams["low"], grams["likely"], grams["high"]) if grams else None)
