"""A film's dots as another library decodes them from its file."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pikepdf
from numpy.typing import NDArray


def decoded_dots(path: Path) -> NDArray[np.bool_]:
    """The dots of a film in one image, by pikepdf and libtiff, True = ink."""
    with pikepdf.open(path) as pdf:
        images = pdf.pages[0].resources.XObject
        assert {str(name) for name in images} == {"/Film1", "/Wedge"}
        dots = images["/Film1"]
        assert isinstance(dots, pikepdf.Stream)
        picture = pikepdf.PdfImage(dots).as_pil_image()
        return np.asarray(np.asarray(picture) == 0)
