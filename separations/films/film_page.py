"""The film's page without its images: marks and words as vectors, boxes, document information.

Images are named and placed here but left empty; `film_pdf` appends them. This is the only place
where rows that run down become points that run up.
"""

from __future__ import annotations

from decimal import Decimal
from io import BytesIO
from typing import NamedTuple

import pikepdf
from reportlab.pdfgen.canvas import Canvas

from separations.films.film_label import PLAIN_FONT, LabelLine
from separations.films.film_sheet import Box, FilmSheet
from separations.films.marks import Ring, Shape, Words, label_box

#: Images and bars are set in by this on every side (points; a pixel at 1440 dpi is 0.05): on the
#: very edge of a pixel, renderers differ in which neighbour they take.
INSET_PT = 0.0005
_LABEL_LEADING = 1.3


class PlacedImage(NamedTuple):
    """An image's resource name and the pixels it fills."""

    name: str
    box: Box


class FilmPage(NamedTuple):
    """The page's file, and the object number of each image in it."""

    document: bytes
    image_numbers: dict[str, int]


def film_page(sheet: FilmSheet, shapes: tuple[Shape, ...], label: tuple[LabelLine, ...],
              images: tuple[PlacedImage, ...], title: str, date: str) -> FilmPage:
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
        Images to leave room for.
    title, date : str
        For the document information; the date as the job has it (ISO 8601).
    """
    with pikepdf.open(BytesIO(_vectors(sheet, shapes, label))) as pdf:
        page = pdf.pages[0]
        for image in images:
            page.add_resource(pikepdf.Stream(pdf, b"", Type=pikepdf.Name.XObject,
                                             Subtype=pikepdf.Name.Image),
                              pikepdf.Name.XObject, pikepdf.Name("/" + image.name))
        page.contents_add(_image_drawing(sheet, images), prepend=True)
        page.mediabox = _rectangle(sheet, Box(0, 0, sheet.page_grid.columns, sheet.page_grid.rows))
        page.bleedbox = _rectangle(sheet, sheet.art_box)
        page.trimbox = _rectangle(sheet, sheet.trim_box)
        _tell(pdf, title, date)
        saved = BytesIO()
        pdf.save(saved, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.disable)
    document = saved.getvalue()
    with pikepdf.open(BytesIO(document)) as pdf:
        named = pdf.pages[0].resources.XObject
        numbers = {image.name: named["/" + image.name].objgen[0] for image in images}
    return FilmPage(document, numbers)


def _vectors(sheet: FilmSheet, shapes: tuple[Shape, ...], label: tuple[LabelLine, ...]) -> bytes:
    """Marks and label as a one-page PDF; the same bytes each time."""
    pt = sheet.point_per_pixel
    width, height = sheet.page_grid.columns * pt, sheet.page_grid.rows * pt
    made = BytesIO()
    canvas = Canvas(made, pagesize=(width, height), invariant=1, pageCompression=1)
    if sheet.reading == "mirrored":
        canvas.transform(-1, 0, 0, 1, width, 0)
    canvas.setFillGray(0)
    canvas.setStrokeGray(0)
    for shape in shapes:
        _draw(canvas, shape, pt, height)
    box = label_box(sheet)
    baseline = height - box.top * pt
    for line in label:
        baseline -= line.size_pt * _LABEL_LEADING
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
    """Content that paints each image, black, on its own pixels."""
    drawing = []
    for image in images:
        left, bottom, right, top = page_corners(sheet, image.box)
        wide, high = right - left - 2 * INSET_PT, top - bottom - 2 * INSET_PT
        if sheet.reading == "mirrored":
            wide, left = -wide, right - 2 * INSET_PT
        drawing.append(f"q 0 g {wide:.6f} 0 0 {high:.6f} {left + INSET_PT:.6f} "
                       f"{bottom + INSET_PT:.6f} cm /{image.name} Do Q\n")
    return "".join(drawing).encode("ascii")


def page_corners(sheet: FilmSheet, box: Box) -> tuple[float, float, float, float]:
    """(left, bottom, right, top) in points, flipped where the sheet is mirrored."""
    pt, rows, columns = sheet.point_per_pixel, sheet.page_grid.rows, sheet.page_grid.columns
    left, right = box.left, box.right
    if sheet.reading == "mirrored":
        left, right = columns - right, columns - left
    return left * pt, (rows - box.bottom) * pt, right * pt, (rows - box.top) * pt


def _rectangle(sheet: FilmSheet, box: Box) -> pikepdf.Array:
    return pikepdf.Array([Decimal(f"{corner:.6f}") for corner in page_corners(sheet, box)])


def _tell(pdf: pikepdf.Pdf, title: str, date: str) -> None:
    """Document information and XMP, without a clock."""
    title = "".join(c if c.isprintable() else "?" for c in title)
    with pdf.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as told:
        told["dc:title"] = title
        told["xmp:CreatorTool"] = "topsheet"
        told["xmp:CreateDate"] = date
    del pdf.docinfo
    pdf.docinfo["/Title"] = title
    pdf.docinfo["/Creator"] = "topsheet"
    pdf.docinfo["/CreationDate"] = "D:" + date.replace("-", "")
