"""How much memory a job will take, reckoned from its pictures before it is begun."""

from __future__ import annotations

from pathlib import Path

from PIL import Image

from preflight.input_problem import InputProblem
from preflight.job_file.drawn_consistency import is_pdf
from preflight.job_file.job import Job
from preflight.job_file.job_tables import ArtTable

#: Lines through measured runs, never under one of them; DEVELOPERS.md has the runs. The libraries,
#: a board of 1.6 m at 1440 dpi and a small picture; what each megapixel of a photograph adds, and
#: of those beyond the first, which are decoded smaller or in bands; and of a line work picture
#: (MiB).
BASE_MIB, MIB_A_MEGAPIXEL, MIB_A_FURTHER_ONE, MIB_A_LINE_MEGAPIXEL = 500.0, 15.5, 4.0, 2.0
FIRST_MEGAPIXELS = 30.0
#: What drawing a page adds to its pixels, which are those of a photograph as fine as the ruling
#: has use for; and what each megabyte of its file, or of a drawing's, adds (MiB).
MIB_A_PAGE, MIB_A_DRAWN_MEGABYTE = 125.0, 4.0
#: What finer rulings add, whose films are coded longer: each line/inch beyond so many (MiB).
COARSE_LPI, MIB_A_FINER_LPI = 45.0, 9.0


def reckoned_need_bytes(job: Job) -> int:
    """What a run of the job takes (bytes). Pictures that cannot be read count nothing."""
    pages = [art for art in job.art if art.kind == "photo" and is_pdf(art)]
    pictures = [art for art in job.art if art.file and art not in pages]
    photos = _drawn_megapixels(job) if pages else 0.0
    photos += sum(_megapixels(job.beside(art.file)) for art in pictures if art.kind == "photo")
    lines = sum(_megapixels(job.beside(art.file)) for art in pictures if art.kind != "photo")
    first = min(photos, FIRST_MEGAPIXELS)
    finest = max((job.ruling_of(ink).lpi for ink in job.ink), default=COARSE_LPI)
    need = (BASE_MIB + MIB_A_MEGAPIXEL * first + MIB_A_FURTHER_ONE * (photos - first)
            + MIB_A_LINE_MEGAPIXEL * lines + MIB_A_PAGE * len(pages)
            + MIB_A_DRAWN_MEGABYTE * sum(_drawn_megabytes(job, art) for art in job.art)
            + MIB_A_FINER_LPI * max(0.0, finest - COARSE_LPI))
    return int(need * 2**20)


def _megapixels(path: Path) -> float:
    try:
        with Image.open(path) as picture:
            return picture.width * picture.height / 1e6
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return 0.0


def _drawn_megapixels(job: Job) -> float:
    """Of all pages of PDFs that are photographs, as they will be drawn."""
    from separations.pipeline.session import Session  # heavy, and few jobs have pages
    from separations.pipeline.stages import PHOTOS_PLACED

    try:
        placed = Session(job).of(PHOTOS_PLACED)
    except InputProblem:
        return 0.0
    whole = [one.artwork.uncropped for one in placed if one.artwork.page]
    return sum(page.width_px * page.height_px for page in whole) / 1e6


def _drawn_megabytes(job: Job, art: ArtTable) -> float:
    """Of a file that is drawn: a page, or an SVG."""
    if not art.file.lower().endswith((".pdf", ".svg")):
        return 0.0
    try:
        return job.beside(art.file).stat().st_size / 1e6
    except OSError:
        return 0.0
