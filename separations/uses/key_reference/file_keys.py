"""The keys of job, gang and stock files, read from the typed tables that read those files."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import MISSING, Field, dataclass, fields, is_dataclass
from datetime import date
from enum import Enum
from functools import cache
from importlib.resources import files
from types import UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from pydantic import PlainValidator

from preflight.job_file.job import NOT_KEYS, Job
from preflight.job_file.job_values import ValueFault
from preflight.job_file.photo_values import RENDERINGS
from preflight.press.dot_shapes import shape_names
from separations.stock.ink_stock import InkStock
from separations.uses.gang.gang_sheet import GangSheet


class FileKind(Enum):
    """A file that a user writes."""

    JOB = "job"
    GANG = "gang"
    STOCK = "stock"


_ROOTS: dict[FileKind, type] = {FileKind.JOB: Job, FileKind.GANG: GangSheet,
                                FileKind.STOCK: InkStock}
#: Names of the words of tables that are not told under their own key.
_WORDS = {(FileKind.STOCK, "ink"): "stock ink"}
#: Texts of which only some will do.
_NAMED: dict[str, tuple[str, ...]] = {"DotShapeName": shape_names(), "RenderingValue": RENDERINGS}


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyWords:
    """One key of a file.

    Attributes
    ----------
    name : str
        The key.
    says : str
        What it tells, a sentence.
    takes : str
        What will do for a value: unit, range, an example.
    default : str
        What holds where it is left out; empty for a key that must be given.
    rests : str
        What that default rests on, where it is a fact of the trade.
    hint : Any
        The type that its value is read as.
    """

    name: str
    says: str
    takes: str
    default: str
    rests: str
    hint: Any


@dataclass(frozen=True, slots=True, kw_only=True)
class TableWords:
    """One table of a file.

    Attributes
    ----------
    name : str
        Its name; that of the file for keys outside all tables.
    head : str
        How it is headed: ``[film]``, ``[[ink]]``, empty outside all tables.
    is_required : bool
        Whether a file must have it.
    keys : tuple of KeyWords
        As the typed table has them.
    """

    name: str
    head: str
    is_required: bool
    keys: tuple[KeyWords, ...]


def file_says(kind: FileKind) -> str:
    """What the file is, a sentence."""
    return str(_words()["files"][kind.value])


@cache
def tables_of(kind: FileKind) -> tuple[TableWords, ...]:
    """The file's tables: first the keys outside all tables, then as they are typed."""
    root = _ROOTS[kind]
    hints = get_type_hints(root, include_extras=True)
    plain, tables = [], []
    for field in fields(root):
        if field.name in NOT_KEYS:
            continue
        table = dataclass_in(hints[field.name])
        if table is None:
            plain.append(_key(field, hints[field.name], kind.value))
            continue
        many = get_origin(hints[field.name]) is tuple
        tables.append(TableWords(
            name=field.name, head=f"[[{field.name}]]" if many else f"[{field.name}]",
            is_required=_is_required(field),
            keys=tuple(_keys(table, _WORDS.get((kind, field.name), field.name)))))
    return (TableWords(name=kind.value, head="", is_required=True, keys=tuple(plain)), *tables)


def dataclass_in(hint: Any) -> type | None:
    """The typed table that a hint holds, if any."""
    if isinstance(hint, type) and is_dataclass(hint):
        return hint if hint.__module__ != "preflight.units" else None
    if get_origin(hint) in (tuple, Union, UnionType):
        return next((t for t in map(dataclass_in, get_args(hint)) if t is not None), None)
    return None


def validator_in(hint: Any) -> PlainValidator | None:
    """What reads the value, where a hint is one of our kinds of value."""
    for part in getattr(hint, "__metadata__", ()):
        if isinstance(part, PlainValidator):
            return part
    return next((v for v in map(validator_in, get_args(hint)) if v is not None), None)


def choices_in(hint: Any) -> tuple[str, ...]:
    """The texts of which one must be given, where that is so."""
    if get_origin(hint) is Literal:
        return tuple(map(str, get_args(hint)))
    if get_origin(hint) in (Union, UnionType):
        return next((c for c in map(choices_in, get_args(hint)) if c), ())
    asked = asked_by(hint)
    return next((names for names in _NAMED.values()
                 if asked and all(name in asked for name in names)), ())


def asked_by(hint: Any) -> str:
    """What a value of the wrong kind would be answered; empty for kinds that are not ours."""
    reader = validator_in(hint)
    if reader is None:
        return ""
    try:
        reader.func(None)  # type: ignore[call-arg]
    except ValueFault as fault:
        return str(fault).rstrip(",")
    raise AssertionError("nothing is no value of any key")


def _keys(table: type, words: str) -> Iterator[KeyWords]:
    hints = get_type_hints(table, include_extras=True)
    for field in fields(table):
        yield _key(field, hints[field.name], words)


def _key(field: Field[Any], hint: Any, table: str) -> KeyWords:
    told = _words()[table][field.name]
    told = {"says": told} if isinstance(told, str) else told
    default = "" if _is_required(field) else told.get("default") or _shown(field.default)
    return KeyWords(name=field.name, says=told["says"], takes=_takes(hint), default=default,
                    rests=told.get("rests", ""), hint=hint)


def _takes(hint: Any) -> str:
    choices = choices_in(hint)
    if choices:
        *others, last = (f'"{choice}"' for choice in choices)
        return f"{', '.join(others)} or {last}"
    if dataclass_in(hint) is not None:
        return "a table"
    return asked_by(hint) or (
        "a date such as 2026-11-25" if date in (hint, *get_args(hint)) else "")


def _shown(value: object) -> str:
    if value is None:
        return "none"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float | int):
        return f"{value:g}"
    if isinstance(value, str):
        return f'"{value}"' if value else "none"
    return str(getattr(value, "written", "none"))


def _is_required(field: Field[Any]) -> bool:
    return field.default is MISSING and field.default_factory is MISSING


@cache
def _words() -> dict[str, Any]:
    here = files("separations.uses.key_reference")
    return tomllib.loads(here.joinpath("key_words.toml").read_text(encoding="utf-8"))
