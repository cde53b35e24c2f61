"""The film's page without its images: marks and words as vectors, boxes, document information.

Images are named and placed here but left empty; `film_pdf` appends them. This is the only place
where rows that run down become points that run up.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from decimal import Decimal
from io import BytesIO
from typing import NamedTuple

import pikepdf
from reportlab.lib.colors import CMYKColorSep
from reportlab.pdfgen.canvas import Canvas

from separations.films.document_facts import (
    PDF_VERSION,
    SIXTEEN_BIT_VERSION,
    DocumentFacts,
    tell,
)
from separations.films.film_label import LEADING, LabelLine
from separations.films.film_sheet import Box, FilmSheet
from separations.films.marks import Ring, Shape, Words, label_box
from separations.films.output_intent import OutputIntent, add_intent
from separations.films.wrapped_text import PLAIN_FONT, register_fonts

#: Images and bars are set in by this on every side (points; a pixel at 1440 dpi is 0.05): on the
#: very edge of a pixel, renderers differ in which neighbour they take.
INSET_PT = 0.0005
#: Graphics state in which a paint leaves the plates of other inks alone.
OVERPRINT = "Overprint"
#: Paints every plate alike (ISO 32000-1:2008, 8.6.6.4), whatever inks there are.
_EVERY_PLATE = CMYKColorSep(1, 1, 1, 1, spotName="All", density=1)

#: Left, top, right and bottom in page pixels, whole or not.
Edges = tuple[float, float, float, float]
#: Makes the colour spaces of a page, by resource name.
MakeSpaces = Callable[[pikepdf.Pdf], Mapping[str, pikepdf.Object]]


class PlacedImage(NamedTuple):
    """An image's resource name, the pixels it fills, and operators that set its state."""

    name: str
    edges: Edges
    state: str = ""


class FilmPage(NamedTuple):
    """The page's file, and the object numbers of its images and colour spaces by name."""

    document: bytes
    numbers: dict[str, int]


def label_width_pt(sheet: FilmSheet) -> float:
    """How wide a line of the label may be (points)."""
    box = label_box(sheet)
    return (box.right - box.left) * sheet.point_per_pixel


def label_room_pt(sheet: FilmSheet) -> tuple[float, float]:
    """How wide a line of the label, and how high the whole of it may be (points)."""
    box = label_box(sheet)
    return label_width_pt(sheet), (box.bottom - box.top) * sheet.point_per_pixel


def film_page(sheet: FilmSheet, shapes: tuple[Shape, ...], label: tuple[LabelLine, ...],
              images: tuple[PlacedImage, ...], facts: DocumentFacts, *,
              spaces: MakeSpaces | None = None,
              intent: OutputIntent | None = None, sixteen_bits: bool = False) -> FilmPage:
    """Draw the page.

    Parameters
    ----------
    sheet : FilmSheet
        Size, boxes and reading.
    shapes : tuple of Shape
        The marks.
    label : tuple of LabelLine
        The label's lines.
    images : tuple of PlacedImage
        Images to leave room for; one name may be drawn several times.
    facts : DocumentFacts
        For the document information.
    spaces : MakeSpaces, optional
        Colour spaces of a page that is still to be separated; its marks then go on every plate.
        Without, all is black.
    intent : OutputIntent, optional
        The printing condition that its colours are made for.
    sixteen_bits : bool
        Whether an image has 16 bits a component, which a newer version of PDF allows.
    """
    vectors = _vectors(sheet, shapes, label, on_every_plate=spaces is not None)
    names = dict.fromkeys(image.name for image in images)
    with pikepdf.open(BytesIO(vectors)) as pdf:
        page = pdf.pages[0]
        for name in names:
            page.add_resource(pikepdf.Stream(pdf, b"", Type=pikepdf.Name.XObject,
                                             Subtype=pikepdf.Name.Image),
                              pikepdf.Name.XObject, pikepdf.Name("/" + name))
        made = spaces(pdf) if spaces is not None else {}
        for name, space in made.items():
            page.add_resource(pdf.make_indirect(space), pikepdf.Name.ColorSpace,
                              pikepdf.Name("/" + name))
        if made:
            page.add_resource(pikepdf.Dictionary(OP=True, op=True, OPM=1), pikepdf.Name.ExtGState,
                              pikepdf.Name("/" + OVERPRINT))
        page.contents_add(_image_drawing(sheet, images), prepend=True)
        page.mediabox = _rectangle(sheet, Box(0, 0, sheet.page_grid.columns, sheet.page_grid.rows))
        page.bleedbox = _rectangle(sheet, sheet.art_box)
        page.trimbox = _rectangle(sheet, sheet.trim_box)
        if intent is not None:
            add_intent(pdf, intent)
        tell(pdf, facts, hashlib.sha256(vectors).digest())
        saved = BytesIO()
        pdf.save(saved, deterministic_id=True,
                 force_version=SIXTEEN_BIT_VERSION if sixteen_bits else PDF_VERSION,
                 object_stream_mode=pikepdf.ObjectStreamMode.disable)
    document = saved.getvalue()
    with pikepdf.open(BytesIO(document)) as pdf:
        named = pdf.pages[0].resources
        numbers = {name: named.XObject["/" + name].objgen[0] for name in names}
        numbers |= {name: named.ColorSpace["/" + name].objgen[0] for name in made}
    return FilmPage(document, numbers)


def _vectors(sheet: FilmSheet, shapes: tuple[Shape, ...], label: tuple[LabelLine, ...], *,
             on_every_plate: bool) -> bytes:
    """Marks and label as a one-page PDF; the same bytes each time."""
    pt = sheet.point_per_pixel
    width, height = sheet.page_grid.columns * pt, sheet.page_grid.rows * pt
    made = BytesIO()
    register_fonts()
    # Its own first font would be named on the page and not embedded.
    canvas = Canvas(made, pagesize=(width, height), invariant=1, pageCompression=1,
                    initialFontName=PLAIN_FONT)
    if sheet.reading == "mirrored":
        canvas.transform(-1, 0, 0, 1, width, 0)
    if on_every_plate:
        canvas.setFillColor(_EVERY_PLATE)
        canvas.setStrokeColor(_EVERY_PLATE)
    else:
        canvas.setFillGray(0)
        canvas.setStrokeGray(0)
    for shape in shapes:
        _draw(canvas, shape, pt, height)
    box = label_box(sheet)
    baseline = height - box.top * pt
    for line in label:
        baseline -= line.size_pt * LEADING
        canvas.setFont(line.font, line.size_pt)
        canvas.drawString(box.left * pt, baseline, line.text)
    canvas.showPage()
    canvas.save()
    return made.getvalue()


def _draw(canvas: Canvas, shape: Shape, pt: float, height: float) -> None:
    if isinstance(shape, Box):
        canvas.rect(shape.left * pt + INSET_PT, height - shape.bottom * pt + INSET_PT,
                    (shape.right - shape.left) * pt - 2 * INSET_PT,
                    (shape.bottom - shape.top) * pt - 2 * INSET_PT, stroke=0, fill=1)
    elif isinstance(shape, Ring):
        canvas.setLineWidth(shape.stroke * pt)
        canvas.circle(shape.column * pt, height - shape.row * pt, shape.radius * pt,
                      stroke=1, fill=0)
    else:
        _write(canvas, shape, pt, height)


def _write(canvas: Canvas, words: Words, pt: float, height: float) -> None:
    canvas.setFont(PLAIN_FONT, words.size_pt)
    draw = {"left": canvas.drawString, "centre": canvas.drawCentredString,
            "right": canvas.drawRightString}[words.align]
    draw(words.column * pt, height - words.row * pt, words.text)


def _image_drawing(sheet: FilmSheet, images: tuple[PlacedImage, ...]) -> bytes:
    """Content that paints each image on its own pixels."""
    drawing = []
    for image in images:
        left, bottom, right, top = page_corners(sheet, image.edges)
        wide, high = right - left - 2 * INSET_PT, top - bottom - 2 * INSET_PT
        if sheet.reading == "mirrored":
            wide, left = -wide, right - 2 * INSET_PT
        state = f"{image.state} " if image.state else ""
        drawing.append(f"q {state}{wide:.6f} 0 0 {high:.6f} {left + INSET_PT:.6f} "
                       f"{bottom + INSET_PT:.6f} cm /{image.name} Do Q\n")
    return "".join(drawing).encode("ascii")


def page_corners(sheet: FilmSheet, edges: Edges) -> tuple[float, float, float, float]:
    """(left, bottom, right, top) in points, flipped where the sheet is mirrored."""
    pt, rows, columns = sheet.point_per_pixel, sheet.page_grid.rows, sheet.page_grid.columns
    left, top, right, bottom = edges
    if sheet.reading == "mirrored":
        left, right = columns - right, columns - left
    return left * pt, (rows - bottom) * pt, right * pt, (rows - top) * pt


def _rectangle(sheet: FilmSheet, box: Box) -> pikepdf.Array:
    return pikepdf.Array([Decimal(f"{corner:.6f}") for corner in page_corners(sheet, box)])
