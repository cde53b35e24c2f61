"""Make the README's two small pictures from the demo's own output.

Run ``python demo_art/painting/readme_pictures.py demo_art/fen_lane_158-out`` after the demo.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pypdfium2
from PIL import Image

#: What the film crop shows: centre from the page's lower left corner and size, in mm.
_CROP_CENTRE_MM = (77.0, 371.0)
_CROP_MM = (28.0, 15.0)
_MM_PER_INCH = 25.4


def proof_picture(out: Path) -> Image.Image:
    """The soft proof, 1,500 px wide."""
    with Image.open(out / "proof.png") as proof:
        return proof.resize((1500, round(1500 * proof.height / proof.width)),
                            Image.Resampling.LANCZOS)


def film_picture(film: Path, dpi: float = 1440.0) -> Image.Image:
    """A crop of a film, one picture pixel for two film pixels."""
    with pypdfium2.PdfDocument(film) as document:
        page = document[0]
        points = 72 / _MM_PER_INCH
        left = (_CROP_CENTRE_MM[0] - _CROP_MM[0] / 2) * points
        bottom = (_CROP_CENTRE_MM[1] - _CROP_MM[1] / 2) * points
        right = page.get_width() - left - _CROP_MM[0] * points
        top = page.get_height() - bottom - _CROP_MM[1] * points
        picture = page.render(scale=dpi / 72, crop=(left, bottom, right, top), grayscale=True)
        grey = np.asarray(picture.to_pil())
    rows, columns = (n // 2 * 2 for n in grey.shape)
    halved = grey[:rows, :columns].reshape(rows // 2, 2, columns // 2, 2).mean(axis=(1, 3))
    return Image.fromarray(halved.astype(np.uint8))


def main() -> None:
    """Write both pictures beside this file."""
    out, here = Path(sys.argv[1]), Path(__file__).resolve().parents[1]
    proof_picture(out).convert("RGB").save(here / "proof.jpg", quality=88)
    film_picture(out / "films" / "04-Black.pdf").save(here / "film_crop.png", optimize=True)


if __name__ == "__main__":
    main()
