"""The typed call behind ``topsheet profile``."""

from __future__ import annotations

from pathlib import Path

from preflight.job_file.job_reader import read_job
from separations.colour.icc.output_profile import OutputProfile, output_profile
from separations.pipeline.job_folder import job_folder
from separations.runtime.progress import Say, silent


def write_output_profile(job_path: Path, out: Path, *, say: Say = silent) -> OutputProfile:
    """Write the ICC output profile of a job's inks on its wood.

    Parameters
    ----------
    job_path : Path
        The job file; its art is not looked at.
    out : Path
        The folder, which appears whole or not at all.
    say : callable
        Told what is being done.

    Raises
    ------
    InputProblem
        When the job cannot be used, has one ink only, or the folder cannot be written.
    """
    job = read_job(job_path)
    with job_folder(job, out) as folder:
        say("Turning colours into inks")
        made = output_profile(job)
        (folder / f"{job_path.stem}.icc").write_bytes(made.content)
        return made
