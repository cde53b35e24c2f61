"""A job file (TOML) read once into a `Job`; every fault is one sentence with its key path."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Iterable
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Any, get_args, get_type_hints

from pydantic import ConfigDict, TypeAdapter, ValidationError

from preflight.input_problem import InputProblem
from preflight.job import Job
from preflight.job_consistency import check_consistency

_GREATEST_BYTES = 1_000_000
_FORBID: ConfigDict = {"extra": "forbid"}
_UNKNOWN_KEY = "unexpected_keyword_argument"


def read_job(path: Path) -> Job:
    """Read and check a job file.

    Parameters
    ----------
    path : Path
        The TOML file.

    Raises
    ------
    InputProblem
        When the file cannot be read, is not TOML, or any key is missing, misspelt, of the wrong
        kind, out of range, or at odds with another.
    """
    table = _table_in(path)
    if "path" in table:
        raise InputProblem(where=f"{path}: path", found="the unknown key 'path'",
                           would_do=_near_keys(("path",)))
    try:
        job = _adapter().validate_python(table)
    except ValidationError as error:
        raise _problem_of(error, path) from None
    job = replace(job, path=path)
    check_consistency(job)
    return job


def _table_in(path: Path) -> dict[str, Any]:
    asked = "a job file in TOML, under 1 MB and in UTF-8,"
    try:
        if not path.is_file():
            found = "a folder" if path.is_dir() else "no such file"
            raise InputProblem(where=str(path), found=found, would_do=asked)
        with path.open("rb") as stream:
            raw = stream.read(_GREATEST_BYTES + 1)
        if len(raw) > _GREATEST_BYTES:
            raise InputProblem(where=str(path), found="more than 1 MB", would_do=asked)
        return tomllib.loads(raw.decode("utf-8-sig"))
    except OSError as error:
        raise InputProblem(where=str(path), found=error.strerror or "an unreadable file",
                           would_do=asked) from None
    except UnicodeDecodeError:
        raise InputProblem(where=str(path), found="bytes that are no UTF-8 text",
                           would_do=asked) from None
    except tomllib.TOMLDecodeError as error:
        raise InputProblem(where=str(path), found=f"a line that is no TOML ({error})",
                           would_do="TOML such as title = \"Estuary\"") from None
    except RecursionError:
        raise InputProblem(where=str(path), found="tables nested too deeply",
                           would_do=asked) from None


def _adapter() -> TypeAdapter[Job]:
    _forbid_unknown_keys(Job)
    return TypeAdapter(Job)


def _forbid_unknown_keys(kind: Any) -> None:
    """Tell pydantic, for a dataclass and all that it holds, to refuse keys it does not know."""
    if is_dataclass(kind) and isinstance(kind, type):
        if kind.__module__ != "preflight.job":
            return
        kind.__pydantic_config__ = _FORBID  # type: ignore[attr-defined]
        for hint in get_type_hints(kind).values():
            _forbid_unknown_keys(hint)
    for argument in get_args(kind):
        _forbid_unknown_keys(argument)


def _problem_of(error: ValidationError, path: Path) -> InputProblem:
    """Make the first fault a sentence: a misspelt key before the missing one it stands for."""
    faults = sorted(error.errors(include_url=False), key=lambda f: f["type"] != _UNKNOWN_KEY)
    fault = faults[0]
    keys = [str(p) if isinstance(p, int) else p for p in fault["loc"]]
    keys = [k for k in keys if not k.startswith("function-")]
    where = f"{path}: {_key_path(fault['loc'])}"
    match fault["type"]:
        case "unexpected_keyword_argument":
            return InputProblem(where=where, found=f"the unknown key '{keys[-1]}'",
                                would_do=_near_keys(fault["loc"]))
        case "missing":
            return InputProblem(where=where, found="nothing",
                                would_do=f"a value for '{keys[-1]}'")
        case "literal_error":
            return InputProblem(where=where, found=_shown(fault["input"]),
                                would_do=str(fault["ctx"]["expected"]))
        case "value_error":
            return InputProblem(where=where, found=_shown(fault["input"]),
                                would_do=str(fault["ctx"]["error"]))
        case "dataclass_type":
            return InputProblem(where=where, found=_shown(fault["input"]),
                                would_do=f"a table such as [{keys[-1]}]")
        case "tuple_type":
            return InputProblem(where=where, found=_shown(fault["input"]),
                                would_do=f"tables headed [[{keys[-1]}]]")
        case _:
            kind = "a date such as 2026-11-25" if keys[-1] == "date" else "a value of another kind"
            return InputProblem(where=where, found=_shown(fault["input"]), would_do=kind)


def _key_path(location: Iterable[int | str]) -> str:
    path = ""
    for part in location:
        if isinstance(part, int):
            path += f"[{part + 1}]"
        else:
            path += f".{part}" if path else part
    return path


def _near_keys(location: tuple[int | str, ...]) -> str:
    kind: Any = Job
    for part in location[:-1]:
        if isinstance(part, str) and is_dataclass(kind):
            kind = next(iter(_dataclasses_in(get_type_hints(kind)[part])), kind)
    known = [f.name for f in fields(kind) if f.name != "path"]
    near = difflib.get_close_matches(str(location[-1]), known, n=1)
    return f"'{near[0]}'" if near else "one of " + ", ".join(f"'{name}'" for name in known)


def _dataclasses_in(hint: Any) -> Iterable[type]:
    if is_dataclass(hint) and isinstance(hint, type):
        yield hint
    for argument in get_args(hint):
        yield from _dataclasses_in(argument)


def _shown(value: object) -> str:
    text = f"'{value}'" if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "…"
