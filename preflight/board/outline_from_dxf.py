"""Lines and curves of a DXF drawing."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from pathlib import Path

from ezdxf import readfile, recover
from ezdxf.document import Drawing as DxfDrawing
from ezdxf.entities import DXFEntity, DXFGraphic, Insert
from ezdxf.lldxf.validator import is_binary_dxf_file

from preflight.board.dxf_curves import CURVES, curve_of
from preflight.board.outline_pieces import (
    CHORD_ERROR_MM,
    DEEPEST_NESTING,
    MM_PER_UNIT,
    Allowance,
    Drawing,
    Piece,
)
from preflight.files.regular_files import bytes_of
from preflight.input_problem import InputProblem

LARGEST_DRAWING_BYTES = 20_000_000
_UNITS = ("mm", "cm", "in", "m")
#: $INSUNITS codes that a board may be drawn in: the name, and mm in one.
#: Source: DXF reference, HEADER section variables ($INSUNITS).
_INSERT_UNITS = {1: ("inches", MM_PER_UNIT["in"]), 2: ("feet", 12 * MM_PER_UNIT["in"]),
                 4: ("millimetres", 1.0), 5: ("centimetres", 10.0), 6: ("metres", 1000.0),
                 9: ("thousandths of an inch", MM_PER_UNIT["in"] / 1000),
                 13: ("micrometres", 0.001), 14: ("decimetres", 100.0)}
_ASKED = "an ASCII or binary DXF drawing of at most 20 MB"


def read_dxf(path: Path, *, unit: str | None = None) -> Drawing:
    """Read the lines and curves of a drawing's model space, blocks taken apart.

    Parameters
    ----------
    path : Path
        The drawing.
    unit : str or None
        The unit that the job declares, one of mm, cm, m, in; it wins over the header's.

    Raises
    ------
    InputProblem
        When the file cannot be read, is no DXF, or holds more than can be an outline.
    """
    document = _document(path)
    mm_per_unit, told, remarks = _unit(path, document, unit)
    allowance = Allowance(where=str(path))
    pieces: list[Piece] = []
    chord_error = CHORD_ERROR_MM / mm_per_unit
    try:
        for entity, layer in _flat(document, document.modelspace(), None, allowance, 0):
            curve = curve_of(entity, chord_error, allowance)
            if curve is None:
                continue
            points, closed = curve
            points = points * mm_per_unit
            rise = float(points[:, 2].max() - points[:, 2].min())
            pieces.append(Piece(points[:, :2], closed, (layer,), rise))
    except InputProblem:
        raise
    except Exception as fault:  # a damaged entity makes its reader raise anything
        raise InputProblem(where=str(path), found=f"an entity that cannot be read "
                           f"({type(fault).__name__})", would_do=_ASKED) from None
    return Drawing(tuple(pieces), mm_per_unit, told, _UNITS, remarks)


def _document(path: Path) -> DxfDrawing:
    if bytes_of(path, LARGEST_DRAWING_BYTES, would_do=_ASKED)[:4] == b"AC10":
        raise InputProblem(where=str(path), found="a drawing in the DWG format",
                           would_do="the same drawing saved as DXF")
    try:
        # The reader that mends damaged drawings does not take binary ones.
        if is_binary_dxf_file(str(path)):
            return readfile(path)
        document, _ = recover.readfile(path)
    except Exception as fault:  # what is no DXF makes the reader raise anything
        raise InputProblem(where=str(path), found=f"no valid DXF ({type(fault).__name__})",
                           would_do=_ASKED) from None
    return document


def _unit(path: Path, document: DxfDrawing, unit: str | None
          ) -> tuple[float, str | None, tuple[str, ...]]:
    code = document.header.get("$INSUNITS", 0)
    named = _INSERT_UNITS.get(code)
    if unit is not None:
        if unit not in _UNITS:
            raise InputProblem(where=str(path), found=f"the unit '{unit}' for a DXF drawing",
                               would_do="one of " + ", ".join(_UNITS))
        mm = MM_PER_UNIT[unit]
        remarks: tuple[str, ...] = ()
        if named is not None and not math.isclose(named[1], mm):
            remarks = (f"The drawing's header says {named[0]}; the job's outline_unit "
                       f"'{unit}' was taken.",)
        return mm, f"the job says {unit}", remarks
    if named is None:
        return 1.0, None, ()
    return named[1], f"its header says {named[0]}", ()


def _flat(document: DxfDrawing, entities: Iterable[DXFEntity], outer_layer: str | None,
          allowance: Allowance, depth: int) -> Iterator[tuple[DXFGraphic, str]]:
    """Entities with blocks taken apart, each with its layer; layer 0 in a block is the insert's."""
    for entity in entities:
        kind = entity.dxftype()
        if not isinstance(entity, DXFGraphic) or (kind != "INSERT" and kind not in CURVES):
            continue
        allowance.take_entities(1)
        layer = str(entity.dxf.get("layer", "0"))
        if layer == "0" and outer_layer is not None:
            layer = outer_layer
        if not isinstance(entity, Insert):
            if _shown(document, entity, layer):
                yield entity, layer
            continue
        if depth >= DEEPEST_NESTING:
            raise InputProblem(where=allowance.where, found=f"blocks nested more than "
                               f"{DEEPEST_NESTING} deep", would_do="a drawing without blocks that "
                               "contain themselves")
        block = entity.block()
        copies = max(1, entity.mcount)
        allowance.take_entities(copies * (len(block) if block is not None else 0))
        for insert in (entity.multi_insert() if copies > 1 else (entity,)):
            yield from _flat(document, insert.virtual_entities(), layer, allowance, depth + 1)


def _shown(document: DxfDrawing, entity: DXFGraphic, layer: str) -> bool:
    """Whether the entity is to be seen: not invisible, its layer neither off nor frozen."""
    if entity.dxf.get("invisible", 0):
        return False
    if not document.layers.has_entry(layer):
        return True
    entry = document.layers.get(layer)
    return not (entry.is_off() or entry.is_frozen())
