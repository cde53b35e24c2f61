"""A board's drawing as DXF, in millimetres, layer by layer."""

from __future__ import annotations

import contextlib
import io
from collections.abc import Iterator

import ezdxf
from ezdxf.document import Drawing

from separations.uses.board_drawings.board_lines import (
    CENTRE,
    HOLES,
    PRINTED,
    REGISTER,
    SAFE,
    TRIM,
    BoardLines,
)

#: A version with light polylines and units that programs of the last 15 years read.
_VERSION = "R2010"
_MILLIMETRES = 4
#: Colours by the format's numbers: 7 black or white, 1 red, 3 green, 5 blue, 6 magenta, 8 grey.
_COLOURS = {TRIM: 7, PRINTED: 1, SAFE: 3, REGISTER: 5, CENTRE: 8, HOLES: 6}
_WORDS = "Notes"
_TEXT_MM = 8.0
_DECIMALS = 6


def dxf_drawing(lines: BoardLines) -> bytes:
    """The drawing as an ASCII DXF file; the same bytes for the same board.

    Parameters
    ----------
    lines : BoardLines
        The board; its x axis is the drawing's.
    """
    with _without_a_clock():
        document = ezdxf.new(_VERSION, units=_MILLIMETRES)
        space = document.modelspace()
        for layer in lines.layers_with_holes:
            document.layers.add(layer.name, color=_COLOURS[layer.name])
            on = {"layer": layer.name}
            for ring in layer.rings:
                space.add_lwpolyline([(round(x, _DECIMALS), round(y, _DECIMALS))
                                      for x, y in ring.tolist()], close=True, dxfattribs=on)
            for line in layer.lines:
                start, end = line.round(_DECIMALS).tolist()
                space.add_line(start, end, dxfattribs=on)
            for circle in layer.circles:
                space.add_circle((round(circle.x_mm, _DECIMALS), round(circle.y_mm, _DECIMALS)),
                                 circle.radius_mm, dxfattribs=on)
        _write_words(document, lines)
        return _saved(document)


def _write_words(document: Drawing, lines: BoardLines) -> None:
    """NOSE, TAIL and the board's figures, beside the board."""
    document.layers.add(_WORDS, color=8)
    space = document.modelspace()
    half, below = lines.length_mm / 2, -lines.width_mm / 2 - 40.0
    told = [("NOSE", half + 30.0, 4.0), ("TAIL", -half - 60.0, 4.0)]
    heads = (f"{lines.title}: {lines.board}, {lines.date}; {lines.told}", *lines.dimensions)
    told += [(text, -half, below - 1.6 * _TEXT_MM * row) for row, text in enumerate(heads)]
    for text, x, y in told:
        space.add_text(text, height=_TEXT_MM, dxfattribs={"layer": _WORDS, "insert": (x, y)})


def _saved(document: Drawing) -> bytes:
    # The library would list these in the order of a set, another one in each process.
    document.classes.add_required_classes(document.dxfversion)
    listed = sorted(document.classes.classes.items(), key=str)
    document.classes.classes.clear()
    document.classes.classes.update(listed)
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode(document.output_encoding, errors="dxfreplace")


@contextlib.contextmanager
def _without_a_clock() -> Iterator[None]:
    """Keep dates and random identities out of the file."""
    former = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = former
