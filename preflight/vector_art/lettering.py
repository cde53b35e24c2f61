"""Words turned into the outlines of their letters by a text shaper."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import numpy as np
import uharfbuzz
from fontTools.pens.recordingPen import RecordingPen
from fontTools.ttLib import TTFont, TTLibError
from numpy.typing import NDArray
from shapely import Polygon, affinity, union_all

from preflight.board.area_mask import Area
from preflight.files.regular_files import bytes_of
from preflight.input_problem import InputProblem
from preflight.vector_art.flattening import bezier
from preflight.vector_art.ring_area import as_area, ring_area

#: The face that comes with the package.
SHIPPED_FONT = Path(str(files("preflight.vector_art"))) / "fonts" / "DejaVuSans.ttf"
#: Its bold, for heads on paper.
SHIPPED_BOLD = SHIPPED_FONT.with_name("DejaVuSans-Bold.ttf")
_MOST_FONT_BYTES = 40_000_000
#: How near letters' curves are followed, in ems.
_TOLERANCE_EM = 0.0005
#: Height of a capital where the font has no H, in ems. Common practice, no source.
_PLAIN_CAP_EM = 0.7


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SetLetter:
    """One letter of set words: a glyph, with marks that belong to it.

    Attributes
    ----------
    text : str
        What it stands for; several characters for a ligature.
    area : Polygon or MultiPolygon
        Where it lies, never empty.
    up : tuple of float
        A vector of length 1 from its foot to its head.
    """

    text: str
    area: Area
    up: tuple[float, float] = (0.0, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Letters:
    """Words as an area.

    Attributes
    ----------
    area : Polygon or MultiPolygon
        The letters, baseline along y = 0, starting at x = 0, y upwards, in the wanted unit.
    advance : float
        How far the words take the pen along the baseline.
    each : tuple of SetLetter
        The same letter by letter, in the order in which they stand; blanks are left out.
    """

    area: Area
    advance: float
    each: tuple[SetLetter, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Face:
    """A font ready to set words in.

    Attributes
    ----------
    path : Path
        Its file.
    units_per_em : int
        Font units in one em.
    cap_height_em : float
        Height of a capital H, in ems.
    """

    path: Path
    font: uharfbuzz.Font
    units_per_em: int
    cap_height_em: float


@lru_cache(maxsize=8)
def open_face(path: Path = SHIPPED_FONT) -> Face:
    """Open a font file (TrueType or OpenType).

    Raises
    ------
    InputProblem
        When there is no such file, it is larger than 40 MB or no font.
    """
    asked = "a TrueType or OpenType font file under 40 MB"
    raw = bytes_of(path, _MOST_FONT_BYTES, would_do=asked)
    try:
        with TTFont(BytesIO(raw), lazy=True, fontNumber=0) as tables:
            if not {"cmap", "head", "hmtx"} <= set(tables.keys()):
                raise TTLibError
    except Exception:  # the reader has no one class for broken fonts
        raise InputProblem(where=str(path), found="something other than a font",
                           would_do=asked) from None
    face = uharfbuzz.Face(uharfbuzz.Blob(raw))
    font = uharfbuzz.Font(face)
    glyph = font.get_nominal_glyph(ord("H"))
    height = font.get_glyph_extents(glyph).y_bearing if glyph else 0
    return Face(path=path, font=font, units_per_em=face.upem,
                cap_height_em=height / face.upem if height > 0 else _PLAIN_CAP_EM)


def set_words(words: str, face: Face, em: float, *, where: str) -> Letters:
    """Set words on one line: ligatures, kerning and marks as the font has them.

    Parameters
    ----------
    words : str
        One line.
    face : Face
        The font.
    em : float
        Type size in the wanted unit, above 0.
    where : str
        What an `InputProblem` names.

    Raises
    ------
    InputProblem
        When the font has no glyph for a character.
    """
    buffer = uharfbuzz.Buffer()
    buffer.add_str(words)
    buffer.guess_segment_properties()
    uharfbuzz.shape(face.font, buffer)
    scale = em / face.units_per_em
    pen_x, pieces = 0.0, []
    by_cluster: dict[int, list[Area]] = {}
    for glyph, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        if glyph.codepoint == 0:
            character = words[glyph.cluster]
            raise InputProblem(
                where=where, found=f"'{character}' (U+{ord(character):04X}), which "
                                   f"{face.path.name} has no letter for",
                would_do="another character, or a font that has it,")
        outline = _outline(face, glyph.codepoint)
        if not outline.is_empty:
            pieces.append(affinity.affine_transform(outline, [
                scale, 0, 0, scale, (pen_x + place.x_offset) * scale, place.y_offset * scale]))
            by_cluster.setdefault(glyph.cluster, []).append(pieces[-1])
        pen_x += place.x_advance
    area = as_area(union_all(pieces)) if pieces else Polygon()
    return Letters(area=area, advance=pen_x * scale, each=_each_letter(words, by_cluster))


def _each_letter(words: str, by_cluster: dict[int, list[Area]]) -> tuple[SetLetter, ...]:
    """The letters by the place in ``words`` where their characters begin."""
    begins = sorted(by_cluster)
    ends = dict(pairwise([*begins, len(words)]))
    return tuple(SetLetter(text=words[start:ends[start]].strip(), area=as_area(union_all(parts)))
                 for start, parts in by_cluster.items())


def letters_through(letters: Iterable[SetLetter], matrix: NDArray[np.float64]
                    ) -> tuple[SetLetter, ...]:
    """Letters moved by a matrix (3, 3)."""
    (a, b, x), (c, d, y), _ = (tuple(float(v) for v in row) for row in matrix)
    moved = []
    for letter in letters:
        up = (a * letter.up[0] + b * letter.up[1], c * letter.up[0] + d * letter.up[1])
        long = math.hypot(*up) or 1.0
        moved.append(SetLetter(
            text=letter.text, up=(up[0] / long, up[1] / long),
            area=affinity.affine_transform(letter.area, [a, b, c, d, x, y])))
    return tuple(moved)


@lru_cache(maxsize=4096)
def _outline(face: Face, glyph: int) -> Area:
    """One glyph's area in font units."""
    pen = RecordingPen()
    face.font.draw_glyph_with_pen(glyph, pen)
    tolerance = _TOLERANCE_EM * face.units_per_em
    rings: list[NDArray[np.float64]] = []
    points: list[NDArray[np.float64]] = []
    for verb, operands in pen.value:
        if verb == "moveTo":
            points = [np.array(operands, float)]
        elif verb == "lineTo":
            points.append(np.array(operands, float))
        elif verb in ("qCurveTo", "curveTo"):
            points.append(bezier(np.vstack([points[-1][-1:], np.array(operands, float)]),
                                 tolerance))
        elif points:
            rings.append(np.vstack(points))
    return ring_area(rings)
