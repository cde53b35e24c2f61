"""PDF files opened with care, and one page of them looked at before anything of it is drawn."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
from numpy.typing import NDArray
from shapely import Polygon
from shapely import box as box_of

from preflight.files.pdf_contents import PageContents, PdfFault, page_contents, spot_name
from preflight.files.regular_files import bytes_of
from preflight.input_problem import InputProblem
from preflight.units import MM_PER_INCH, POINTS_PER_INCH

MOST_BYTES = 300_000_000
CROP_BOX = "crop box"
#: Sides of a page (points). Source: ISO 32000-1, annex C, for the larger.
_LEAST_SIDE_PT, _MOST_SIDE_PT = 3.0, 14_400.0
#: Levels of the tree of pages that are looked through.
_MOST_LEVELS = 50
#: Blue of a marked spot colour: one that no drawing program hands out by itself.
_MARK = 0x5B
_FAULTS = (pikepdf.PdfError, PdfFault, ValueError, TypeError, KeyError, AttributeError, IndexError,
           NotImplementedError, OverflowError, RuntimeError)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PdfPage:
    """One page of a PDF.

    Attributes
    ----------
    path : Path
        The file.
    data : bytes
        The file, its spot colours marked where that was asked for.
    number, pages : int
        Which page, from 1, and how many there are.
    box : tuple of float
        What is read of it, in its own user space: left, low, right and upper edge (points).
    turn_deg : int
        How far it is turned clockwise to be looked at: 0, 90, 180 or 270.
    contents : PageContents
        What it draws with.
    spots : dict
        Where they are marked, each spot colour's name by the green and blue (0 to 255) that it
        has. Its red runs from 255, for nothing of it, to 0.
    remarks : tuple of str
        What a careful reader should know, one plain sentence each.
    """

    path: Path
    data: bytes = field(repr=False)
    number: int
    pages: int
    box: tuple[float, float, float, float]
    turn_deg: int
    contents: PageContents
    spots: dict[tuple[int, int], str]
    remarks: tuple[str, ...]

    @property
    def width_pt(self) -> float:
        """Its width as it is looked at (points)."""
        return self._sides[self.turn_deg // 90 % 2]

    @property
    def height_pt(self) -> float:
        """Its height as it is looked at (points)."""
        return self._sides[1 - self.turn_deg // 90 % 2]

    @property
    def shown(self) -> Polygon:
        """The page as it is looked at, right and down from its top left corner (points)."""
        return box_of(0.0, 0.0, self.width_pt, self.height_pt)

    @property
    def shown_of_user(self) -> NDArray[np.float64]:
        """The 3 × 3 matrix from user space to points on the page as it is looked at."""
        left, low, right, top = self.box
        return np.array({0: ((1, 0, -left), (0, -1, top)), 90: ((0, 1, -low), (1, 0, -left)),
                         180: ((-1, 0, right), (0, 1, -low)),
                         270: ((0, -1, top), (-1, 0, right))}[self.turn_deg] + ((0, 0, 1),), float)

    @property
    def _sides(self) -> tuple[float, float]:
        left, low, right, top = self.box
        return right - left, top - low


def open_page(path: Path, number: int | None, *, boundary: str = CROP_BOX,
              mark_spots: bool = False) -> PdfPage:
    """Open a PDF and look at one page.

    Parameters
    ----------
    path : Path
        The file.
    number : int or None
        The page, from 1; of a file with one page nobody need say.
    boundary : str
        To which of its boxes it is read, as ISO 32000-1, 14.11.2 names them. A box that it lacks is
        its crop box, and a crop box that it lacks its media box.
    mark_spots : bool
        Give each spot colour a colour of its own, by which it is known again.

    Raises
    ------
    InputProblem
        When it is no PDF, damaged, encrypted or too large, has no such page, or text in fonts
        that it does not hold.
    """
    raw = bytes_of(path, MOST_BYTES, would_do=f"a PDF of at most {MOST_BYTES // 1_000_000} MB")
    with _opened(path, raw) as pdf:
        pages = len(pdf.pages)
        if number is None and pages > 1:
            raise InputProblem(where=str(path), found=f"{pages} pages and no 'page' in the job",
                               would_do=f"page = 1, up to {pages}")
        if not 1 <= (number or 1) <= pages:
            raise InputProblem(where=str(path), found=f"no page {number} among {pages}",
                               would_do=f"a page from 1 to {pages}")
        page = pdf.pages[(number or 1) - 1]
        contents = page_contents(page)
        if contents.absent_fonts:
            raise InputProblem(
                where=str(path), found=f"text in the font {contents.absent_fonts[0][:60]!r}, which "
                "the file does not hold", would_do="a PDF with its fonts embedded, or with text "
                "turned into outlines,")
        box, turn = _box(page, boundary), _turn_deg(page.obj)
        spots = _mark_spots(pdf, contents.spots) if mark_spots else {}
        if mark_spots:
            kept = BytesIO()
            pdf.save(kept, static_id=True)
            raw = kept.getvalue()
        told = tuple(_remarks(pdf, page, contents))
    opened = PdfPage(path=path, data=raw, number=number or 1, pages=pages, box=box,
                     turn_deg=turn, contents=contents,
                     spots=spots, remarks=())
    mm = MM_PER_INCH / POINTS_PER_INCH
    which = f"Page {opened.number} of {pages}" if pages > 1 else "Its page"
    return replace(opened, remarks=(
        f"{which} is read to its {boundary}, {opened.width_pt * mm:.1f} × "
        f"{opened.height_pt * mm:.1f} mm.", *told))


@contextmanager
def _opened(path: Path, raw: bytes) -> Iterator[pikepdf.Pdf]:
    if b"%PDF-" not in raw[:1024]:
        raise InputProblem(where=str(path), found="something other than a PDF", would_do="a PDF")
    try:
        with pikepdf.open(BytesIO(raw), attempt_recovery=False) as pdf:
            if pdf.is_encrypted:
                raise pikepdf.PasswordError
            yield pdf
    except pikepdf.PasswordError:
        raise InputProblem(where=str(path), found="an encrypted PDF",
                           would_do="one without a password or restrictions") from None
    except PdfFault as fault:
        raise InputProblem(where=str(path), found=str(fault),
                           would_do="a simpler PDF, or the page as a picture") from None
    except _FAULTS as fault:
        reason = " ".join(str(fault).split())[:100] or type(fault).__name__
        raise InputProblem(where=str(path), found=f"a damaged PDF ({reason})",
                           would_do="the PDF as it was first saved") from None


def _box(page: pikepdf.Page, boundary: str) -> tuple[float, float, float, float]:
    """One of the page's boxes, as far as it lies on its medium (ISO 32000-1, 14.11.2.1)."""
    told: Any = {"crop box": page.cropbox, "media box": page.mediabox, "bleed box": page.bleedbox,
                 "trim box": page.trimbox, "art box": page.artbox}[boundary]
    crop, whole = ([float(edge) for edge in box] for box in (told, page.mediabox))
    left, right = max(min(crop[::2]), min(whole[::2])), min(max(crop[::2]), max(whole[::2]))
    low, high = max(min(crop[1::2]), min(whole[1::2])), min(max(crop[1::2]), max(whole[1::2]))
    width, height = right - left, high - low
    if not (_LEAST_SIDE_PT <= min(width, height) <= max(width, height) <= _MOST_SIDE_PT):
        raise PdfFault(f"a page of {width:.4g} × {height:.4g} points")
    return left, low, right, high


def _turn_deg(node: Any) -> int:
    """How far a page is turned clockwise, by itself or by what holds it."""
    for _ in range(_MOST_LEVELS):
        if "/Rotate" in node:
            turn = int(node.Rotate) % 360
            return turn if turn in (90, 180, 270) else 0
        if "/Parent" not in node:
            break
        node = node.Parent
    return 0


def _remarks(pdf: pikepdf.Pdf, page: pikepdf.Page, contents: PageContents) -> Iterator[str]:
    names = pdf.Root.get("/Names")
    if ("/OpenAction" in pdf.Root or "/AA" in pdf.Root or "/AA" in page.obj
            or (isinstance(names, pikepdf.Dictionary) and "/JavaScript" in names)):
        yield "It holds scripts or actions; none of them is run."
    if len(page.obj.get("/Annots", [])):
        yield "Annotations and form fields of the page are not drawn."
    if float(page.obj.get("/UserUnit", 1)) != 1:
        yield f"Its user unit is {float(page.obj.UserUnit):g} points; the size above ignores it."
    if contents.blends:
        yield "Transparency in it is blended as on a screen, not as inks would be."
    if contents.overprints:
        yield "It is set to overprint in places; that is ignored: what lies above covers."
    if contents.has_layers:
        yield "Only those of its layers are read that its own settings show."
    if contents.has_cmyk:
        yield "CMYK in it without a profile: its colours are a guess."


def _mark_spots(pdf: pikepdf.Pdf, spots: list[str]) -> dict[tuple[int, int], str]:
    """Have each Separation colour print as a colour of its own; their names by those colours."""
    marks = {name: (number + 1, _MARK) for number, name in enumerate(spots[:250])}
    for part in pdf.objects:
        for space in _spaces_in(part):
            if len(space) >= 4 and str(space[0]) == "/Separation" and spot_name(space) in marks:
                own = [value / 255 for value in marks[spot_name(space)]]
                space[2] = pikepdf.Name.DeviceRGB
                space[3] = pikepdf.Dictionary(FunctionType=2, Domain=[0, 1], N=1, C0=[1, *own],
                                              C1=[0, *own])
    return {mark: name for name, mark in marks.items()}


def _spaces_in(part: Any, depth: int = 0) -> Iterator[pikepdf.Array]:
    """Colour spaces in an object, and in what stands within it."""
    if depth > 8:
        return
    if isinstance(part, pikepdf.Array):
        if len(part) and str(part[0]) == "/Separation":
            yield part
            return
        values = list(part)
    elif isinstance(part, pikepdf.Dictionary | pikepdf.Stream):
        values = list(dict(part.items()).values())
    else:
        return
    for value in values:
        if isinstance(value, pikepdf.Object) and not value.is_indirect:
            yield from _spaces_in(value, depth + 1)
