"""How long stencils are exposed, in words for the operator."""

from __future__ import annotations

from preflight.job_file.job import Job
from preflight.press.stencil_exposure import EXPOSURE_SOURCE, WANTED_STEP, step_times
from separations.films.mark_fields import EXPOSURE_FIELDS


def exposures_told(job: Job) -> tuple[str, ...]:
    """A sentence for each of the job's meshes that has a reading, and one of lamps; or none."""
    told = {}
    for ink in job.ink:
        mesh = ink.mesh or job.mesh
        if mesh.exposure is None or mesh.exposed is None:
            continue
        time = mesh.exposure
        steps = ", ".join(f"{seconds:.0f}" for seconds in step_times(time.best_s, EXPOSURE_FIELDS))
        told[f"{mesh.count.written}, thread {mesh.thread.written}"] = (
            f"expose {time.best_s:.0f} s ({time.low_s:.0f} to {time.high_s:.0f} s): after "
            f"{mesh.exposed.written} step {mesh.solid_step} of a 21-step scale was the last solid "
            f"one, and step {WANTED_STEP} is wanted. To try it by steps, the five fields on the "
            f"films take {steps} s.")
    if not told:
        return ()
    return (*(f"Stencils on mesh {mesh}: {words}" for mesh, words in told.items()),
            "Lamps lose power with age: lay the scale on every stencil, and read it again with a "
            f"new lamp or emulsion (common practice, no source). Steps: {EXPOSURE_SOURCE}.")
