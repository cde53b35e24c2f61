"""One change of one key of a job file, and the job as it would be with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, is_dataclass, replace
from typing import Annotated, Any, get_args, get_origin, get_type_hints

from pydantic import TypeAdapter

from preflight.job_file.job import Job

#: What a key may be set to, as it stands in a job file.
Written = str | float | bool
#: From the top of the job file; places in lists count from 0.
KeyPath = tuple[str | int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mend:
    """A proposal: nothing is changed by it.

    Attributes
    ----------
    key_path : tuple of str or int
        From the top of the job file; places in lists count from 0: ``("ink", 2, "angle")``.
    before : str, float, bool or None
        What the file says; None where the key is left out.
    after : str, float or bool
        What it would say.
    why : str
        One sentence.
    """

    key_path: KeyPath
    before: Written | None
    after: Written
    why: str

    @property
    def key_told(self) -> str:
        """The key as faults name it, lists counted from 1: ``ink[3].angle``."""
        told = ""
        for part in self.key_path:
            told += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if told else part
        return told


@dataclass(frozen=True, slots=True, kw_only=True)
class Shunned:
    """What is not to be proposed again, since it was tried and raised another care.

    Attributes
    ----------
    values : mapping of key path to tuple of Written
        Values that a key is not to get.
    keys : frozenset of key path
        Keys that are left alone altogether.
    """

    values: dict[KeyPath, tuple[Written, ...]] = field(default_factory=dict)
    keys: frozenset[KeyPath] = frozenset()

    def allows(self, key_path: KeyPath, value: Written) -> bool:
        """Whether the key may be given the value."""
        return key_path not in self.keys and value not in self.values.get(key_path, ())


#: Nothing was tried before.
NOTHING = Shunned()


def told_value(value: Written | None) -> str:
    """A value as TOML writes it."""
    if value is None:
        return "left out"
    if isinstance(value, bool):
        return "true" if value else "false"
    return f'"{value}"' if isinstance(value, str) else f"{value:g}"


def owner_told(job: Job, key_path: KeyPath) -> str:
    """Whose key it is, in words: an ink, a note, a file; empty for the job's own tables."""
    table, number = key_path[0], key_path[1] if len(key_path) > 1 else None
    if not isinstance(number, int):
        return ""
    if table == "ink":
        return job.ink[number].name
    return job.note[number].text if table == "note" else job.art[number].file


def job_mended(job: Job, mend: Mend) -> Job:
    """The job with one mend made."""
    return job_with(job, mend.key_path, _typed(mend.key_path, mend.after))


def job_with(job: Job, key_path: Sequence[str | int], value: object) -> Job:
    """The job with one of its (typed) values replaced."""
    changed: Job = _with(job, tuple(key_path), value)
    return changed


def _with(held: Any, path: KeyPath, value: object) -> Any:
    if not path:
        return value
    first, rest = path[0], path[1:]
    if isinstance(first, int):
        return (*held[:first], _with(held[first], rest, value), *held[first + 1:])
    return replace(held, **{first: _with(getattr(held, first), rest, value)})


def _typed(key_path: KeyPath, written: Written) -> object:
    """A written value as the job's reader takes it."""
    kind: Any = Job
    for part in key_path:
        if isinstance(part, int):
            kind = get_args(kind)[0]
            continue
        kind = _table_of(get_type_hints(kind, include_extras=True)[part])
    return TypeAdapter(kind).validate_python(written)


def _table_of(hint: Any) -> Any:
    """The table that an optional one may be; other kinds as they are."""
    if get_origin(hint) is Annotated or get_origin(hint) is tuple:
        return hint
    tables = [part for part in get_args(hint) if is_dataclass(part)]
    return tables[0] if tables else hint
