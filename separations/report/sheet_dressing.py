"""What the operator's sheet wears: a small picture of the print, and the job's own date."""

from __future__ import annotations

import hashlib
import io

import pikepdf
from PIL import Image as Pixels
from reportlab.platypus import Image

from separations.films.document_facts import DocumentFacts, tell

#: Longest side of the picture on paper (px): 200 to the inch over an A4 page's width.
_PICTURE_PX = 1400


def board_picture(board: bytes, width_pt: float, most_height_pt: float) -> Image:
    """The board in colour, as wide as the page's text unless it is too high.

    Parameters
    ----------
    board : bytes
        A picture of the board, nose to the right.
    width_pt, most_height_pt : float
        Width, and greatest height, on paper (points).
    """
    with Pixels.open(io.BytesIO(board)) as opened:
        opened.draft("RGB", (_PICTURE_PX, _PICTURE_PX))
        picture = opened.convert("RGB")
    picture.thumbnail((_PICTURE_PX, _PICTURE_PX))
    stream = io.BytesIO()
    picture.save(stream, "JPEG", quality=85)
    stream.seek(0)
    width_pt = min(width_pt, most_height_pt * picture.width / picture.height)
    return Image(stream, width=width_pt, height=width_pt * picture.height / picture.width)


def dated(pdf: bytes, facts: DocumentFacts) -> bytes:
    """The document with the job's title and date as its own, the same bytes for the same job."""
    stream = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        tell(document, facts, hashlib.sha256(pdf).digest())
        document.save(stream, deterministic_id=True)
    return stream.getvalue()
