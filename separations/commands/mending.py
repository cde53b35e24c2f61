"""What ``topsheet check --mend`` tells: each change, and how many findings stay."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from preflight.findings import Grade, by_grade, has_stop
from preflight.input_problem import ExitStatus
from preflight.mends.mend import owner_told, told_value
from preflight.nouns import counted
from separations.commands.terminal import inert, tell_each


def tell_mended(job: Path, out: Path | None) -> None:
    """Mend a job into a new file, say what was changed, and leave with the new job's status."""
    from separations.uses.mended_job import mend_job

    target = out or job.with_name(f"{job.stem}-mended.toml")
    mended = mend_job(job, target)
    for left in mended.left_alone:
        click.echo(inert(f"left alone: {left}."))
    if not mended.mends:
        click.echo("Nothing here can safely be mended by machine; nothing was written.")
    for mend in mended.mends:
        owner = owner_told(mended.job, mend.key_path)
        click.echo(inert(f"mended  {mend.key_told}{f' ({owner})' if owner else ''}: "
                         f"{told_value(mend.before)} -> {told_value(mend.after)}"))
        click.echo(inert(f"        {mend.why}"))
    checked = target if mended.mends else job
    if mended.mends:
        click.echo(inert(f"Wrote {target}; {job} is as it was."))
    tell_each(mended.findings, (Grade.STOP, Grade.CARE))
    stays = [counted(len(some), grade.value) for grade in (Grade.STOP, Grade.CARE, Grade.NOTE)
            if (some := by_grade(mended.findings, grade))]
    click.echo(inert(f"Left to you: {', '.join(stays)} (topsheet check {checked} lists all)."
                     if stays else "Nothing is left to mend."))
    if has_stop(mended.findings):
        sys.exit(ExitStatus.STOP_FINDING)
