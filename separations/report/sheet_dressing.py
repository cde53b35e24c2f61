"""What the operator's sheet wears: a small grey picture of the print, and the job's own date."""

from __future__ import annotations

import hashlib
import io

import pikepdf
from PIL import Image as Pixels
from PIL import ImageOps
from reportlab.platypus import Image

from separations.films.document_facts import DocumentFacts, tell

#: Longest side of the picture on paper (px): 200 to the inch over an A4 page's width.
_PICTURE_PX = 1400
#: Exponent that lifts the middle tones, which a copier closes. Own rule, no source.
_LIGHTER = 0.75


def grey_picture(board: bytes, width_pt: float) -> Image:
    """The board in grey, light enough for a copier, as wide as the page's text.

    Parameters
    ----------
    board : bytes
        A picture of the board, nose to the right.
    width_pt : float
        Width on paper (points).
    """
    with Pixels.open(io.BytesIO(board)) as opened:
        opened.draft("L", (_PICTURE_PX, _PICTURE_PX))
        grey = ImageOps.autocontrast(opened.convert("L"), cutoff=1)
    grey = grey.point([round(255 * (v / 255) ** _LIGHTER) for v in range(256)])
    grey.thumbnail((_PICTURE_PX, _PICTURE_PX))
    stream = io.BytesIO()
    grey.save(stream, "JPEG", quality=85)
    stream.seek(0)
    return Image(stream, width=width_pt, height=width_pt * grey.height / grey.width)


def dated(pdf: bytes, facts: DocumentFacts) -> bytes:
    """The document with the job's title and date as its own, the same bytes for the same job."""
    stream = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        tell(document, facts, hashlib.sha256(pdf).digest())
        document.save(stream, deterministic_id=True)
    return stream.getvalue()
