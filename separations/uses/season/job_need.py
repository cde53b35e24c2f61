"""How much memory a job will take, reckoned from its pictures before it is begun."""

from __future__ import annotations

from pathlib import Path

from PIL import Image

from preflight.job_file.job import Job

#: Lines through measured runs, never under one of them; DEVELOPERS.md has the runs. The libraries,
#: a board of 1.6 m at 1440 dpi and a small picture; what each megapixel of a photograph adds, and
#: of those beyond the first, which are decoded smaller or in bands; and of a line work picture
#: (MiB).
BASE_MIB, MIB_A_MEGAPIXEL, MIB_A_FURTHER_ONE, MIB_A_LINE_MEGAPIXEL = 500.0, 15.5, 4.0, 2.0
FIRST_MEGAPIXELS = 30.0


def reckoned_need_bytes(job: Job) -> int:
    """What a run of the job takes (bytes). Pictures that cannot be read count nothing."""
    photos = lines = 0.0
    for art in job.art:
        megapixels = _megapixels(job.beside(art.file)) if art.file else 0.0
        photos, lines = (photos + megapixels, lines) if art.kind == "photo" else (
            photos, lines + megapixels)
    first = min(photos, FIRST_MEGAPIXELS)
    need = (BASE_MIB + MIB_A_MEGAPIXEL * first + MIB_A_FURTHER_ONE * (photos - first)
            + MIB_A_LINE_MEGAPIXEL * lines)
    return int(need * 2**20)


def _megapixels(path: Path) -> float:
    try:
        with Image.open(path) as picture:
            return picture.width * picture.height / 1e6
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return 0.0
