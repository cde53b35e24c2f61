"""What ``topsheet check --mend`` tells: each mend, and what became of the findings."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import click

from preflight.findings import Finding, has_stop
from preflight.input_problem import ExitStatus
from preflight.mends.mend import told_value
from separations.commands.terminal import inert


def tell_mended(job: Path, out: Path | None) -> None:
    """Mend a job into a new file, say what was changed, and leave with the new job's status."""
    from separations.uses.mended_job import mend_job

    target = out or job.with_name(f"{job.stem}-mended.toml")
    mended = mend_job(job, target)
    for left in mended.left_alone:
        click.echo(inert(f"left alone: {left}."))
    if mended.after is None:
        click.echo("Nothing here can safely be mended by machine; nothing was written.")
        _tell("stays", mended.before)
    else:
        for mend in mended.mends:
            click.echo(inert(f"mend  {mend.key_told}: {mend.before_told} -> "
                             f"{told_value(mend.after)}. {mend.why.rstrip('.')}."))
        click.echo(f"Wrote {target}; {job} is as it was.")
        _tell("gone", mended.gone)
        _tell("new", mended.fresh)
        _tell("stays", mended.staying)
    if has_stop(mended.after if mended.after is not None else mended.before):
        sys.exit(ExitStatus.STOP_FINDING)


def _tell(word: str, findings: Sequence[Finding]) -> None:
    for finding in findings:
        says = "" if word == "gone" else f" {finding.says} {finding.mend}"
        click.echo(inert(f"{word:<5} {finding.grade.value} {finding.check}, "
                         f"{finding.subject}:{says}").rstrip(":"))
