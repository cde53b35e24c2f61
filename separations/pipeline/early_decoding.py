"""A job's photographs decoded while the libraries that separate them still load."""

from __future__ import annotations

from pathlib import Path
from threading import Thread

from preflight.art.artwork import open_artwork
from preflight.art.kept_pixels import KeptPixels
from preflight.job_file.job_reader import read_job

#: Name of the thread.
READER = "reading ahead"


def read_ahead(job_path: Path) -> KeptPixels:
    """Begin to decode a job's photographs, and give what will hold them.

    Nothing is raised here: what cannot be read is told where the job is read in earnest. The thread
    is waited for at the end, since a decoder may not be broken off.
    """
    kept = KeptPixels()
    Thread(target=_decode, args=(job_path, kept), name=READER).start()
    return kept


def _decode(job_path: Path, kept: KeptPixels) -> None:
    try:
        job = read_job(job_path)
        for table in job.art:
            if table.kind == "photo":
                kept(open_artwork(job.beside(table.file)))
    except Exception:
        return
