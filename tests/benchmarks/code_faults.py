"""Small faults of a module's code: signs, sides, factors, swapped values, skipped steps."""

from __future__ import annotations

import ast
import copy
import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TypeVar

Expr = TypeVar("Expr", bound=ast.expr)

#: By how much a figure is made wrong: more than rounding, less than nonsense.
_WRONG = 1.25
_OTHER_SIGN: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd, ast.LShift: ast.RShift, ast.RShift: ast.LShift}
_OTHER_SIDE: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.Gt, ast.Gt: ast.Lt, ast.LtE: ast.GtE, ast.GtE: ast.LtE, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq}
_OTHER_NAME = {"min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum",
               "floor": "ceil", "ceil": "floor", "sin": "cos", "cos": "sin", "argmin": "argmax",
               "argmax": "argmin", "erode": "dilate", "dilate": "erode", "any": "all",
               "all": "any", "flipud": "fliplr", "union": "intersection",
               "intersection": "union", "rows": "columns", "columns": "rows", "along": "across",
               "across": "along", "x": "y", "width_mm": "length_mm", "length_mm": "width_mm"}


@dataclass(frozen=True, slots=True)
class CodeFault:
    """A module with one fault in it.

    Attributes
    ----------
    module : str
        Its path in the project.
    told : str
        Module, kind of fault, and the line before and after it.
    text : str
        The module's whole source with the fault.
    lot : str
        By which faults are drawn: the same on every machine, without regard to the place.
    line : int
        Where the fault stands, counted from 1.
    """

    module: str
    told: str
    text: str
    lot: str
    line: int


def faults_of(source: str, module: str) -> Iterator[CodeFault]:
    """Every small fault of a module that this knows how to make."""
    tree = ast.parse(source)
    lines = source.splitlines(keepends=True)
    for node in _computing(tree):
        for kind, changed in _changes(node):
            start, end = _span(node)
            replaced = _replaced(lines, start, end, ast.unparse(changed))
            was = lines[start[0]].strip()
            told = f"{module}: {kind}: {was} -> {ast.unparse(changed)[:60]}"
            yield CodeFault(module, told, replaced, hashlib.sha256(told.encode()).hexdigest(),
                            node.lineno)


def _computing(tree: ast.Module) -> Iterator[ast.expr]:
    """Expressions of what is computed: no words, no types, no defaults of decorators."""
    left_out: set[int] = set()
    for node in ast.walk(tree):
        for part in _idle_parts(node):
            left_out.update(id(inner) for inner in ast.walk(part))
    for node in ast.walk(tree):
        if isinstance(node, ast.expr) and id(node) not in left_out:
            yield node


def _idle_parts(node: ast.AST) -> Iterator[ast.AST]:
    """Parts in which a fault is no fault of computing: words, types, decorators, checks of use."""
    if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
        yield from (one.annotation for one in ast.walk(node)
                    if isinstance(one, ast.arg) and one.annotation)
        yield from node.decorator_list
        if node.returns:
            yield node.returns
    elif isinstance(node, ast.ClassDef):
        yield from node.decorator_list
        yield from node.bases
    elif isinstance(node, ast.AnnAssign):
        yield node.annotation
    elif isinstance(node, (ast.JoinedStr, ast.Raise, ast.Assert, ast.Subscript)):
        if isinstance(node, ast.Subscript):
            yield node.slice
        else:
            yield node
    elif isinstance(node, ast.Call) and _name(node.func) in ("Field", "field", "TypeVar", "cast"):
        yield node


def _changes(node: ast.expr) -> Iterator[tuple[str, ast.expr]]:
    if isinstance(node, ast.BinOp) and not _is_text(node):
        other = _OTHER_SIGN.get(type(node.op))
        if other is not None:
            yield "sign", _with(node, lambda new: setattr(new, "op", other()))
    elif isinstance(node, ast.Compare) and len(node.ops) == 1:
        side = _OTHER_SIDE.get(type(node.ops[0]))
        if side is not None:
            yield "side", _with(node, lambda new: setattr(new, "ops", [side()]))
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.USub, ast.Not)):
        yield "sign", node.operand
    elif isinstance(node, ast.Constant) and isinstance(node.value, float) and node.value:
        yield "factor", ast.Constant(node.value * _WRONG)
    elif isinstance(node, ast.Attribute) and node.attr in _OTHER_NAME:
        yield "name", _with(node, lambda new: setattr(new, "attr", _OTHER_NAME[node.attr]))
    elif isinstance(node, ast.Name) and node.id in ("min", "max", "any", "all"):
        yield "name", ast.Name(_OTHER_NAME[node.id])
    elif isinstance(node, ast.Call):
        yield from _call_changes(node)


def _call_changes(node: ast.Call) -> Iterator[tuple[str, ast.expr]]:
    first = [one for one in node.args[:2] if not isinstance(one, ast.Starred)]
    name = _name(node.func)
    if len(first) == 2 and ast.dump(first[0]) != ast.dump(first[1]) and name not in (
            "isinstance", "getattr", "zip", "min", "max", "minimum", "maximum", "hypot"):
        yield "swapped", _with(node, lambda new: new.args.__setitem__(
            slice(0, 2), [new.args[1], new.args[0]]))
    if len(node.args) >= 2 and name.islower() and isinstance(node.func, ast.Name) \
            and isinstance(node.args[0], ast.Name):
        yield "skipped", node.args[0]


def _is_text(node: ast.BinOp) -> bool:
    return any(isinstance(one, ast.JoinedStr) or (isinstance(one, ast.Constant)
               and isinstance(one.value, str)) for one in ast.walk(node))


def _name(func: ast.expr) -> str:
    return func.attr if isinstance(func, ast.Attribute) else getattr(func, "id", "")


def _with(node: Expr, change: Callable[[Expr], object]) -> Expr:
    new = copy.deepcopy(node)
    change(new)
    return new


def _span(node: ast.expr) -> tuple[tuple[int, int], tuple[int, int]]:
    assert node.end_lineno is not None
    assert node.end_col_offset is not None
    return (node.lineno - 1, node.col_offset), (node.end_lineno - 1, node.end_col_offset)


def _replaced(lines: list[str], start: tuple[int, int], end: tuple[int, int], by: str) -> str:
    """The source with a span put in brackets and replaced; columns count bytes, as ast does."""
    head = lines[start[0]].encode()[:start[1]].decode()
    tail = lines[end[0]].encode()[end[1]:].decode()
    return "".join([*lines[:start[0]], f"{head}({by}){tail}", *lines[end[0] + 1:]])
