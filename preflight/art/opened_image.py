"""Pictures opened with Pillow, under our own limits; its faults become sentences."""

from __future__ import annotations

import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import cv2
from PIL import Image, ImageFile, UnidentifiedImageError

from preflight.art.embedded_colour import IMAGE_FAULTS
from preflight.files.known_formats import format_found
from preflight.files.regular_files import open_regular
from preflight.input_problem import InputProblem

#: What is tried, in Pillow's words: formats that photographs and drawn sheets come in. Others,
#: some of which start further programs or are seldom mended, are never handed a stranger's file.
FORMATS = ("PNG", "JPEG", "TIFF", "WEBP", "BMP", "JPEG2000", "GIF", "PSD", "PPM", "AVIF")
_PILLOW_LIMIT = threading.RLock()


@contextmanager
def opened_image(path: Path, *, tolerant: bool = False, page: int = 0
                 ) -> Iterator[Image.Image]:
    """Open a file with Pillow under our own pixel limit; faults become `InputProblem`.

    Pillow is handed a stream and no name: of a named file it maps plain grey pixels straight into
    memory, which scrambles TIFF files whose orientation swaps rows and columns. ``tolerant`` lets
    it go on where parts of a picture are missing; ``page`` is which page of a TIFF, from 0.
    """
    with _PILLOW_LIMIT, warnings.catch_warnings():
        warnings.simplefilter("ignore")  # remarks on odd but readable files
        pillow_limit, Image.MAX_IMAGE_PIXELS = Image.MAX_IMAGE_PIXELS, None
        strict, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, tolerant
        try:
            with open_regular(path, would_do="a picture") as file, \
                    Image.open(file, formats=FORMATS) as image:
                if page:
                    image.seek(page)
                yield image
        except InputProblem:
            raise
        except MemoryError:
            raise InputProblem(
                where=str(path), found="a picture too large for this machine's free memory",
                would_do="a smaller picture, or a machine with more memory,") from None
        except UnidentifiedImageError:
            raise InputProblem(
                where=str(path), found=_format_of(path) or "something other than a picture",
                would_do="a PNG, JPEG, TIFF, WebP, AVIF or BMP file") from None
        except IMAGE_FAULTS as fault:
            raise broken_picture(path, fault) from None
        except RuntimeError as fault:  # Pillow's reader of AVIF has no other word
            if "thread" in str(fault):
                raise
            raise broken_picture(path, fault) from None
        finally:
            Image.MAX_IMAGE_PIXELS = pillow_limit
            ImageFile.LOAD_TRUNCATED_IMAGES = strict


@contextmanager
def quiet_opencv() -> Iterator[None]:
    """Keep OpenCV from writing to the terminal what its readers remark; its faults are raised."""
    logging: Any = cv2.utils.logging
    level = logging.getLogLevel()
    logging.setLogLevel(logging.LOG_LEVEL_SILENT)
    try:
        yield
    finally:
        logging.setLogLevel(level)


def _format_of(path: Path) -> str | None:
    with open_regular(path, would_do="a picture") as file:
        return format_found(file.read(64))


def broken_picture(path: Path, fault: BaseException) -> InputProblem:
    """The `InputProblem` of a picture that cannot be decoded."""
    reason = " ".join(str(fault).split())[:120] or type(fault).__name__
    return InputProblem(where=str(path), found=f"a damaged picture ({reason})",
                        would_do="a picture that opens completely")
