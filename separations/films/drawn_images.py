"""Where a page draws its images, read from its content stream."""

from __future__ import annotations

import pikepdf

#: a, b, c, d, e, f of PDF's transformation: x = a u + c v + e, y = b u + d v + f.
Matrix = tuple[float, float, float, float, float, float]


def drawn_images(page: pikepdf.Page) -> list[tuple[str, Matrix]]:
    """The images that a page draws, in order, each with the matrix from its unit square (points).

    Raises
    ------
    pikepdf.PdfError
        When the content stream cannot be read.

    Notes
    -----
    Graphics states are saved and restored with q and Q, and cm multiplies from the left. Source:
    ISO 32000-1, 8.3 and 8.4.
    """
    matrix: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    saved: list[Matrix] = []
    drawn = []
    for instruction in pikepdf.parse_content_stream(page, "q Q cm Do"):
        operator = str(instruction.operator)
        if operator == "q":
            saved.append(matrix)
        elif operator == "Q":
            matrix = saved.pop()
        elif operator == "cm":
            matrix = _times([float(value) for value in instruction.operands], matrix)
        elif operator == "Do":
            drawn.append((str(instruction.operands[0]).lstrip("/"), matrix))
    return drawn


def _times(first: list[float], then: Matrix) -> Matrix:
    a, b, c, d, e, f = first
    g, h, i, j, k, m = then
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j,
            e * g + f * i + k, e * h + f * j + m)
