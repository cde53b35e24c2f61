"""Every figure that checks and mends hold something against is a row of the table of limits."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from preflight.checks import limits
from preflight.checks.limit_row import Limit
from preflight.job_file.job_tables import FrameTable, PressTable, RegisterTable

PREFLIGHT = Path(limits.__file__).parent.parent
MODULES = sorted(
    path for folder in ("checks", "mends") for path in (PREFLIGHT / folder).glob("*.py")
    if path.name not in ("limits.py", "limit_row.py", "__init__.py"))
ROWS = {name for name, value in vars(limits).items() if isinstance(value, Limit)}
#: Comparisons with a figure that is no limit, each with what it is.
NO_LIMITS = {
    "halftone_dots: dot_um < held_um - _ROUNDING_UM": "rounding of figures written in tenths",
    "dots_on_the_press: self.asked_um >= self.held_um - _ROUNDING_UM":
        "rounding of tones told in tenths",
    "dots_on_the_press: self.asked_um <= self.lost_um + _ROUNDING_UM":
        "rounding of tones told in tenths",
    "exposure_on_the_press: step < WANTED_STEP":
        "the formula of exposures has this step, with its source",
    "inks_on_each_other: greatest > limit.fraction + _ROUNDING": "rounding of whole tones",
    "detail: finest.lpi / times < _COARSEST_ADVISED_LPI": "which advice is given, not whether",
    "art_on_board: times <= 1": "which advice is given: the photo is large enough as it is",
    "photo_quality: photo.true_fraction >= _OWN_SHARE": "which advice is given, not whether",
    "photo_quality: photo.block_px > BLOCK_PX": "words: blocks are told as enlarged",
    "placing_advice: width < 1": "which advice is given: widths are told in whole mm",
    "drawn_place: mm2 >= 10": "digits shown",
    "angles: table.tint.fraction < 1": "whether a flat colour is screened at all",
    "hold_on_mesh: lost < 1": "whether all of a part is lost: the words for it",
}


def _figures(node: ast.expr) -> Iterator[str]:
    """Numbers and names of constants in a side of a comparison, rows of limits left out."""
    if isinstance(node, ast.Constant):
        if isinstance(node.value, int | float) and not isinstance(node.value, bool) \
                and node.value != 0:
            yield repr(node.value)
    elif isinstance(node, ast.Name) and re.fullmatch(r"_?[A-Z][A-Z0-9_]+", node.id):
        yield node.id
    for child in _parts(node):
        yield from _figures(child)


def _parts(node: ast.expr) -> list[ast.expr]:
    """What of a term may hold a figure."""
    if isinstance(node, ast.Call) or _is_row(node):  # len(inks), abs(x): no limit is called
        return []
    if isinstance(node, ast.Subscript):  # a place in a list is no limit
        return [node.value]
    parts = [child for child in ast.iter_child_nodes(node) if isinstance(child, ast.expr)]
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Mult | ast.Div):
        return [part for part in parts  # per cent, µm of mm and the like
                if not (isinstance(part, ast.Constant) and part.value in (10, 100, 1000, 10_000))]
    return parts


def _is_row(node: ast.expr) -> bool:
    """Whether a term is ``limits.ROW.value``."""
    return isinstance(node, ast.Attribute) and isinstance(node.value, ast.Attribute) \
        and isinstance(node.value.value, ast.Name) and node.value.value.id == "limits"


_ORDERING = ast.Lt | ast.LtE | ast.Gt | ast.GtE


def _counts_or_tells(node: ast.Compare) -> bool:
    """Whether things are counted or told from each other: neither is held against a limit."""
    return not any(isinstance(op, _ORDERING) for op in node.ops) or any(
        isinstance(side, ast.Call) and isinstance(side.func, ast.Name) and side.func.id == "len"
        for side in (node.left, *node.comparators))


def comparisons(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Compare) and not _counts_or_tells(node) \
                and any(True for side in (node.left, *node.comparators) for _ in _figures(side)):
            yield f"{path.stem}: {ast.unparse(node)}"


@pytest.mark.parametrize("path", MODULES, ids=lambda p: p.stem)
def test_no_check_holds_anything_against_another_figure(path: Path) -> None:
    assert [found for found in comparisons(path) if found not in NO_LIMITS] == []


def test_the_list_of_what_is_no_limit_is_no_longer_than_needed() -> None:
    assert {found for path in MODULES for found in comparisons(path)} == set(NO_LIMITS)


def test_every_row_is_read_by_a_check_or_a_mend() -> None:
    read = {match for path in MODULES
            for match in re.findall(r"\blimits\.([A-Z_]+)", path.read_text(encoding="utf-8"))}
    assert read - ROWS == set()
    assert ROWS - read == set()


def test_defaults_of_the_job_file_are_those_of_the_rows() -> None:
    frame = FrameTable(inside_length=None, inside_width=None)  # type: ignore[arg-type]
    assert frame.free_ends.mm == limits.FREE_ENDS.value
    assert frame.free_sides.mm == limits.FREE_SIDES.value
    assert limits.OFF_CONTACT_LEAST.value <= frame.off_contact.mm <= limits.OFF_CONTACT_MOST.value
    assert PressTable().ink_height_limit.mm * 1000 == limits.INK_HEIGHT.value
    assert RegisterTable().placement.mm < limits.REGISTER_LONG.value
