"""A board's drawing as SVG, 1:1: one unit is one millimetre."""

from __future__ import annotations

from html import escape

from separations.uses.board_drawings.board_lines import (
    CENTRE,
    HOLES,
    PRINTED,
    REGISTER,
    SAFE,
    TRIM,
    BoardLines,
    DrawnLayer,
    Points,
)

_MARGIN_MM = 30.0
_STYLES = {TRIM: 'stroke="#000"', PRINTED: 'stroke="#b3261e" stroke-dasharray="6 3"',
           SAFE: 'stroke="#2e7d32" stroke-dasharray="1.5 2"', REGISTER: 'stroke="#1a4fa0"',
           CENTRE: 'stroke="#888" stroke-dasharray="12 3 2 3"', HOLES: 'stroke="#6a3d9a"'}


def svg_drawing(lines: BoardLines) -> bytes:
    """The drawing as SVG in UTF-8; the same bytes for the same board.

    Parameters
    ----------
    lines : BoardLines
        The board; its nose lies to the right, its +y side up.
    """
    half_x = lines.length_mm / 2 + _MARGIN_MM
    half_y = lines.width_mm / 2 + _MARGIN_MM
    written = 6.0 * (2 + len(lines.dimensions))
    width, height = 2 * half_x, 2 * half_y + written
    heads = (f"{lines.title}: {lines.board}, {lines.date}; {lines.told}", *lines.dimensions)
    words = [_text(-lines.length_mm / 2, half_y + 6.0 * row, line)
             for row, line in enumerate(heads)]
    words += [_text(lines.length_mm / 2 + 4.0, -4.0, "NOSE"),
              _text(-half_x + 4.0, -4.0, "TAIL")]
    body = "\n".join((*(_group(layer) for layer in lines.layers_with_holes),
                      '<g id="notes" font-family="sans-serif" font-size="5" fill="#333">',
                      *words, "</g>"))
    return (f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(width)}mm" '
            f'height="{_n(height)}mm" viewBox="{_n(-half_x)} {_n(-half_y)} {_n(width)} '
            f'{_n(height)}">\n<title>{escape(lines.title)}: {escape(lines.board)}</title>\n'
            f"{body}\n</svg>\n").encode()


def _group(layer: DrawnLayer) -> str:
    shapes = [*(f'<path d="{_ring(ring)}"/>' for ring in layer.rings),
              *(f'<path d="M{_n(x0)} {_n(-y0)}L{_n(x1)} {_n(-y1)}"/>'
                for (x0, y0), (x1, y1) in (line.tolist() for line in layer.lines)),
              *(f'<circle cx="{_n(c.x_mm)}" cy="{_n(-c.y_mm)}" r="{_n(c.radius_mm)}"/>'
                for c in layer.circles)]
    return (f'<g id="{layer.ident}" fill="none" stroke-width="0.25" {_STYLES[layer.name]}>'
            f"<title>{layer.name}</title>\n" + "\n".join(shapes) + "\n</g>")


def _ring(ring: Points) -> str:
    return "M" + "L".join(f"{_n(x)} {_n(-y)}" for x, y in ring.tolist()) + "Z"


def _text(x: float, y: float, text: str) -> str:
    return f'<text x="{_n(x)}" y="{_n(y)}">{escape(text)}</text>'


def _n(value: float) -> str:
    """A figure to a ten-thousandth of a millimetre, without a tail of zeros."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
