"""Pictures that unpack to far more than any picture holds."""

from __future__ import annotations

from pathlib import Path

from preflight.input_problem import InputProblem

_BYTES_PER_PIXEL = {"1": 1, "L": 1, "P": 1, "I;16": 2, "I;16B": 2, "I;16L": 2, "I;16N": 2}
_BYTES_OF_COLOUR = 4
#: How many times over a picture is held while it is decoded: these come whole, not row by row.
_TIMES_HELD = {"WEBP": 4, "JPEG2000": 4, "AVIF": 4}
#: Up to this many bytes anything may unpack to; beyond, no more than so many times its file.
#: Own rule: photographs pack 2 to 50 times, sheets of flat line work some 100 times.
_ALWAYS_FINE = 512 * 2**20
_MOST_TIMES = 200


def need_honest_size(path: Path, pixels: int, mode: str, form: str) -> None:
    """Refuse a small file that would fill the memory.

    Parameters
    ----------
    path : Path
        The picture.
    pixels : int
        How many it says it has.
    mode : str
        Its channels in Pillow's words.
    form : str
        Its format in Pillow's words.

    Raises
    ------
    InputProblem
        When it would unpack to more than 512 MiB and 200 times its own size.
    """
    unpacked = pixels * _BYTES_PER_PIXEL.get(mode, _BYTES_OF_COLOUR) * _TIMES_HELD.get(form, 1)
    packed = path.stat().st_size
    if unpacked > _ALWAYS_FINE and unpacked > _MOST_TIMES * packed:
        raise InputProblem(
            where=str(path), found=f"a file of {packed / 1e6:.3g} MB that would unpack to "
            f"{unpacked / 1e6:.0f} MB, which no photograph does",
            would_do="a photograph, or line work of fewer pixels,")
