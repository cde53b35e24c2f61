"""Which side of a film goes against the stencil, told the same way wherever it is told."""

from __future__ import annotations

from preflight.job_file.job import Job

_RIGHT = ("Right-reading with the emulsion side up: lay the emulsion side against the print side "
          "of the stencil.")
_MIRRORED = ("MIRRORED: wrong-reading with the emulsion side up. With the emulsion against the "
             "print side of the stencil the board prints as a mirror image. It prints right only "
             "with the film's other side against the stencil, where light creeps under the dots.")


def how_to_lay(job: Job) -> str:
    """How the job's films are laid on the stencil. Source: geometry; emulsion against stencil."""
    return _RIGHT if job.film.reading == "right-reading" else _MIRRORED
