"""A job's photographs decoded while the libraries that separate them still load."""

from __future__ import annotations

from dataclasses import replace
from threading import Thread

from preflight.art.artwork import open_artwork
from preflight.files.file_contents import FileContents
from preflight.job_file.job import Job
from separations.pipeline.kept_photos import KeptPhotos
from separations.pipeline.kept_results import KeptResults

#: Name of the thread.
DECODER = "early decoding"


def decode_early(job: Job, keep: KeptResults, contents: FileContents) -> None:
    """Begin to decode a job's photographs into what a session on it will keep.

    Nothing is raised here: what cannot be read is told where it is asked for. The thread is waited
    for at the end, since a decoder may not be broken off.
    """
    Thread(target=_decode, args=(job, keep, contents), name=DECODER).start()


def _decode(job: Job, keep: KeptResults, contents: FileContents) -> None:
    try:
        photos = KeptPhotos(keep)
        for table in job.art:
            if table.kind == "photo":
                path = job.beside(table.file)
                photos(replace(open_artwork(path, accept_damage=table.accept_damage,
                                            page=table.page),
                               content=contents.digest(path)))
    except Exception:
        return
