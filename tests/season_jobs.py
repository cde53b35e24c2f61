"""Folders of tiny jobs that share their art: what many at once take, in seconds."""

from __future__ import annotations

import hashlib
from pathlib import Path

from tests.small_art import SMALL_JOB, write_small_job

_INKS = SMALL_JOB[SMALL_JOB.index("[[ink]]"):]
_BLACK = SMALL_JOB[SMALL_JOB.rindex("[[ink]]"):]
_TINY = (('"600 dpi"', '"200 dpi"'), ('"45 lpi"', '"14 lpi"'), (_INKS, _BLACK),
         ('"30 cm"', '"24 cm"'))


def write_tiny_jobs(folder: Path, count: int, *replacements: tuple[str, str]) -> list[Path]:
    """Jobs of one ink on a board of 24 cm, each with its own title: ``board-01.toml`` and so on."""
    first = write_small_job(folder, *_TINY, *replacements)
    text = first.read_text(encoding="utf-8")
    first.unlink()
    jobs = []
    for number in range(1, count + 1):
        jobs.append(folder / f"board-{number:02}.toml")
        jobs[-1].write_text(text.replace("Marsh light", f"Marsh light {number}"),
                            encoding="utf-8")
    return jobs


def digests(folder: Path) -> dict[str, str]:
    """The SHA-256 of every file in a folder and below, by its name there."""
    return {path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
            for path in sorted(folder.rglob("*")) if path.is_file()}
