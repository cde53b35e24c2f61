"""JSON Schemas of job, gang and stock files, by which editors complete and check them."""

from __future__ import annotations

import json
from datetime import date, datetime
from types import UnionType
from typing import Any, Union, get_args, get_origin

from preflight import units
from separations.uses.key_reference.file_keys import (
    FileKind,
    KeyWords,
    TableWords,
    choices_in,
    dataclass_in,
    file_says,
    tables_of,
)

_TYPES: dict[Any, str | list[str]] = {
    str: "string", bool: "boolean", int: "integer", float: "number", dict: "object",
    tuple: "array", units.Angle: ["number", "string"]}


def schema_text(kind: FileKind) -> str:
    """The schema of a kind of file (JSON Schema, draft 2020-12), as a file holds it.

    It knows all keys, which of them must be given, the kinds of their values, and the texts of
    which one must be chosen. Ranges and what keys have to do with each other are told in its
    descriptions; ``topsheet check`` holds a file against them.
    """
    top, *tables = tables_of(kind)
    schema = _object(top)
    for table in tables:
        whole = _object(table)
        schema["properties"][table.name] = (
            {"type": "array", "items": whole} if table.head.startswith("[[") else whole)
    schema["required"] = [*schema["required"], *(t.name for t in tables if t.is_required)]
    return json.dumps({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"topsheet {kind.value} file", "description": file_says(kind), **schema,
    }, indent=1, ensure_ascii=False) + "\n"


def _object(table: TableWords) -> dict[str, Any]:
    return {"type": "object", "additionalProperties": False,
            "required": [key.name for key in table.keys if not key.default],
            "properties": {key.name: _value(key) for key in table.keys}}


def _value(key: KeyWords) -> dict[str, Any]:
    told = [key.says]
    if key.takes:
        told.append(f"Takes {key.takes}.")
    if key.default:
        told.append(f"Default: {key.default}{f' ({key.rests})' if key.rests else ''}.")
    description = " ".join(told)
    choices = choices_in(key.hint)
    if choices:
        return {"enum": list(choices), "description": description}
    if dataclass_in(key.hint) is not None:  # an ink's own mesh
        mesh = next(table for table in tables_of(FileKind.JOB) if table.name == key.name)
        return {**_object(mesh), "description": description}
    kinds = sorted({name for part in _parts(key.hint) for name in _names(part)})
    return {"type": kinds[0] if len(kinds) == 1 else kinds, "description": description}


def _parts(hint: Any) -> list[Any]:
    """The types that a value may have, without what reads them."""
    if hasattr(hint, "__metadata__"):
        return _parts(hint.__origin__)
    if get_origin(hint) in (Union, UnionType):
        return [part for one in get_args(hint) if one is not type(None) for part in _parts(one)]
    return [get_origin(hint) or hint]


def _names(part: Any) -> list[str]:
    if part in (date, datetime):  # TOML has dates of its own, which editors hand on as texts
        return ["string"]
    names = _TYPES.get(part, "string")
    return [names] if isinstance(names, str) else names
