"""How much memory a job will take, reckoned from its pictures before it is begun."""

from __future__ import annotations

from preflight.art.artwork import open_artwork
from preflight.input_problem import InputProblem
from preflight.job_file.drawn_consistency import is_drawing, is_pdf
from preflight.job_file.job import Job
from preflight.job_file.job_tables import ArtTable

#: Lines through measured runs, never under one of them; DEVELOPERS.md has the runs. The libraries,
#: a board of 1.6 m at 1440 dpi and a small picture; what each megapixel of a photograph adds, and
#: of those beyond the first (more of them at finer rulings, which have use for more), which are
#: decoded smaller or in bands; and of a line work picture
#: (MiB).
BASE_MIB, MIB_A_MEGAPIXEL, MIB_A_FURTHER_ONE, MIB_A_LINE_MEGAPIXEL = 500.0, 15.5, 4.0, 2.0
FIRST_MEGAPIXELS = 30.0
#: What drawing a page adds to its pixels, which are those of a photograph as fine as the ruling
#: has use for; what a drawing cut at the film's own pixels takes at most, which its corners bound;
#: and what each megabyte of their files adds (MiB).
MIB_A_PAGE, MIB_A_DRAWING, MIB_A_DRAWN_MEGABYTE = 125.0, 300.0, 4.0
#: What finer rulings add, whose films are coded longer: each line/inch beyond so many (MiB).
COARSE_LPI, MIB_A_FINER_LPI = 45.0, 9.0


def reckoned_need_bytes(job: Job) -> int:
    """What a run of the job takes (bytes). Pictures that cannot be read count nothing."""
    pages = [art for art in job.art if art.kind == "photo" and is_pdf(art)]
    pictures = [art for art in job.art if art.file and art not in pages]
    photos = _drawn_megapixels(job) if pages else 0.0
    photos += sum(_megapixels(job, art) for art in pictures if art.kind == "photo")
    lines = sum(_megapixels(job, art) for art in pictures if art.kind != "photo")
    finest = max((job.ruling_of(ink).lpi for ink in job.ink), default=COARSE_LPI)
    first = min(photos, FIRST_MEGAPIXELS * max(1.0, finest / COARSE_LPI) ** 2)
    need = (BASE_MIB + MIB_A_MEGAPIXEL * first + MIB_A_FURTHER_ONE * (photos - first)
            + MIB_A_LINE_MEGAPIXEL * lines + MIB_A_PAGE * len(pages)
            + MIB_A_DRAWING * sum(is_drawing(art) and bool(art.file) for art in job.art)
            + MIB_A_DRAWN_MEGABYTE * sum(_drawn_megabytes(job, art) for art in job.art)
            + MIB_A_FINER_LPI * max(0.0, finest - COARSE_LPI))
    return int(need * 2**20)


def _megapixels(job: Job, art: ArtTable) -> float:
    try:
        picture = open_artwork(job.beside(art.file), page=art.page, accept_damage=True)
    except InputProblem:
        return 0.0
    return picture.width_px * picture.height_px / 1e6


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
