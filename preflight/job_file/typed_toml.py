"""A TOML file read into frozen dataclasses; every fault is one sentence with its key path."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Callable, Iterable
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, cast, get_args, get_type_hints

from pydantic import ConfigDict, TypeAdapter, ValidationError

from preflight.files.regular_files import bytes_of
from preflight.input_problem import InputProblem

Table = TypeVar("Table")
_GREATEST_BYTES = 1_000_000
_GREATEST_DEPTH = 12
_GREATEST_WHOLE = 10**300
_FORBID: ConfigDict = {"extra": "forbid"}
_UNKNOWN_KEY = "unexpected_keyword_argument"


def read_typed_toml(
    path: Path, kind: type[Table], *, what: str, first_line: str, not_keys: tuple[str, ...] = ()
) -> Table:
    """Read a TOML file into a dataclass and all that it holds.

    Parameters
    ----------
    path : Path
        The file, at most 1 MB of UTF-8.
    kind : type
        A frozen dataclass; its fields, and those of the dataclasses of the same module that it
        holds, are the keys that the file may have.
    what : str
        What the file is called in a fault, e.g. ``a job file``.
    first_line : str
        A line of such a file, shown where something else stands.
    not_keys : tuple of str
        Fields of ``kind`` that a file may not set.

    Raises
    ------
    InputProblem
        When the file cannot be read or is not TOML, or a key is missing, misspelt, of the wrong
        kind or out of range.
    """
    return typed(table_in(path, what=what, first_line=first_line), path, kind, not_keys)


def typed(table: dict[str, Any], path: Path, kind: type[Table],
          not_keys: tuple[str, ...] = ()) -> Table:
    """A table read from TOML as a dataclass; parameters and faults of `read_typed_toml`."""
    for key in not_keys:
        if key in table:
            raise InputProblem(where=f"{path}: {key}", found=f"the unknown key '{key}'",
                               would_do=_near_keys((key,), kind, not_keys))
    try:
        return cast("Table", _reader(cast("type", kind)).validate_python(table))
    except ValidationError as error:
        raise _problem_of(error, path, kind, not_keys) from None


@cache
def _reader(kind: type) -> TypeAdapter[Any]:
    """What reads a table as a dataclass: made once, since that takes ten times the reading."""
    _forbid_unknown_keys(kind, kind.__module__)
    return TypeAdapter(kind)


def table_in(
    path: Path, *, what: str, first_line: str, parse_float: Callable[[str], Any] = float
) -> dict[str, Any]:
    """The file's table, unread, decimals through ``parse_float``; faults of `read_typed_toml`."""
    asked = f"{what} in TOML, under 1 MB and in UTF-8,"
    raw = bytes_of(path, _GREATEST_BYTES, would_do=asked)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputProblem(where=str(path), found="bytes that are not UTF-8 text",
                           would_do=asked) from None
    return table_of(text, path, what=what, first_line=first_line, parse_float=parse_float)


def table_of(
    text: str, path: Path, *, what: str, first_line: str,
    parse_float: Callable[[str], Any] = float,
) -> dict[str, Any]:
    """As `table_in`, of a text that is, or is to be, that file's."""
    asked = f"{what} in TOML, under 1 MB and in UTF-8,"
    try:
        table = tomllib.loads(text, parse_float=parse_float)
        _need_bounds(table)
        return table
    except tomllib.TOMLDecodeError as error:
        raise InputProblem(where=str(path), found=f"a line that is not TOML ({error})",
                           would_do=f"TOML such as {first_line}") from None
    except (ValueError, ArithmeticError):
        raise InputProblem(where=str(path), found="a number of far too many digits",
                           would_do=asked) from None
    except RecursionError:
        raise InputProblem(where=str(path), found="tables nested too deeply",
                           would_do=asked) from None


def shown(value: object) -> str:
    """What stands in a file, as a fault shows it: at most 60 characters."""
    text = f"'{value}'" if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "…"


def _need_bounds(table: dict[str, Any]) -> None:
    """Raise where tables are nested too deeply, or whole numbers are beyond all floating ones."""
    level: list[Any] = [table]
    for _ in range(_GREATEST_DEPTH):
        level = [part for whole in level if isinstance(whole, dict | list)
                 for part in (whole.values() if isinstance(whole, dict) else whole)]
        if any(isinstance(part, int) and abs(part) > _GREATEST_WHOLE for part in level):
            raise OverflowError
    if level:
        raise RecursionError


def _forbid_unknown_keys(kind: Any, module: str) -> None:
    """Tell pydantic, for a dataclass and all that it holds, to refuse keys it does not know."""
    if is_dataclass(kind) and isinstance(kind, type):
        if kind.__module__ != module:
            return
        kind.__pydantic_config__ = _FORBID  # type: ignore[attr-defined]
        for hint in get_type_hints(kind).values():
            _forbid_unknown_keys(hint, module)
    for argument in get_args(kind):
        _forbid_unknown_keys(argument, module)


def _problem_of(
    error: ValidationError, path: Path, kind: type, not_keys: tuple[str, ...]
) -> InputProblem:
    """Make the first fault a sentence: a misspelt key before the missing one it stands for."""
    faults = sorted(error.errors(include_url=False), key=lambda f: f["type"] != _UNKNOWN_KEY)
    fault = faults[0]
    location = tuple(p for p in fault["loc"] if not str(p).startswith("function-"))
    where, last = f"{path}: {_key_path(location)}", str(location[-1])
    found = shown(fault["input"])
    match fault["type"]:
        case "unexpected_keyword_argument":
            found, asked = f"the unknown key '{last}'", _near_keys(location, kind, not_keys)
        case "missing":
            found, asked = "nothing", f"a value for '{last}'"
        case "literal_error":
            asked = str(fault["ctx"]["expected"])
        case "value_error":
            asked = str(fault["ctx"]["error"])
        case "dataclass_type":
            asked = f"a table such as [{last}]"
        case "tuple_type":
            asked = f"tables headed [[{last}]]"
        case _:
            asked = "a date such as 2026-11-25" if last == "date" else "a value of another kind"
    return InputProblem(where=where, found=found, would_do=asked)


def _key_path(location: Iterable[int | str]) -> str:
    path = ""
    for part in location:
        if isinstance(part, int):
            path += f"[{part + 1}]"
        else:
            path += f".{part}" if path else part
    return path


def _near_keys(location: tuple[int | str, ...], kind: Any, not_keys: tuple[str, ...]) -> str:
    for part in location[:-1]:
        if isinstance(part, str) and is_dataclass(kind):
            kind = next(iter(_dataclasses_in(get_type_hints(kind)[part])), kind)
    known = [f.name for f in fields(kind) if f.name not in not_keys]
    near = difflib.get_close_matches(str(location[-1]), known, n=1)
    return f"'{near[0]}'" if near else "one of " + ", ".join(f"'{name}'" for name in known)


def _dataclasses_in(hint: Any) -> Iterable[type]:
    if is_dataclass(hint) and isinstance(hint, type):
        yield hint
    for argument in get_args(hint):
        yield from _dataclasses_in(argument)
