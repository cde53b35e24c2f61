"""How much memory a job will take, reckoned from its pictures before it is begun."""

from __future__ import annotations

from pathlib import Path

from PIL import Image

from preflight.job_file.job import Job

#: A line through measured runs: the libraries and a small job, and what each megapixel of the
#: job's pictures adds (MiB). DEVELOPERS.md has the runs. Several large pictures are not all held
#: at a time, so that this is more than they take; it is never less than the line.
BASE_MIB, MIB_A_MEGAPIXEL, MOST_MIB = 500.0, 22.0, 2300.0


def reckoned_need_bytes(job: Job) -> int:
    """What a run of the job takes (bytes). Pictures that cannot be read count nothing."""
    megapixels = sum(_megapixels(job.beside(art.file)) for art in job.art if art.file)
    need = min(BASE_MIB + MIB_A_MEGAPIXEL * megapixels, MOST_MIB)
    return int(need * 2**20)


def _megapixels(path: Path) -> float:
    try:
        with Image.open(path) as picture:
            return picture.width * picture.height / 1e6
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return 0.0
