"""Each job's soft proof made small, for a sheet of many boards."""

from __future__ import annotations

import io
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from PIL import Image

from separations.proof.shown_pictures import ReportPicture
from separations.runtime.parallel_rows import processors
from separations.uses.season.job_result import JobResult

#: Width of a small board (px), and of one among very many, so that the page stays one to open.
_WIDTH_PX, _WIDTH_AMONG_MANY_PX, _MANY = 560, 280, 300
_QUALITY = 80
_BOARD = "proof.png"


def small_boards(results: Sequence[JobResult]) -> list[ReportPicture | None]:
    """A picture of each job's board, nose to the right as its proof has it.

    None where there is no proof, or no longer one that can be read.
    """
    width = _WIDTH_PX if len(results) <= _MANY else _WIDTH_AMONG_MANY_PX
    with ThreadPoolExecutor(processors()) as pool:
        return list(pool.map(lambda result: _small_board(result, width), results))


def _small_board(result: JobResult, width: int) -> ReportPicture | None:
    if result.state == "not made":
        return None
    try:
        with Image.open(Path(result.out) / _BOARD) as proof:
            height = max(1, round(proof.height * width / proof.width))
            small = proof.convert("RGB").resize((width, height), Image.Resampling.BOX)
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return None
    stream = io.BytesIO()
    small.save(stream, "JPEG", quality=_QUALITY)
    return ReportPicture(title=result.title, alt=f"The board “{result.title}” as it will look",
                         caption="", data=stream.getvalue(), media_type="image/jpeg")
