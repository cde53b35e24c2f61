"""One change of one key of a job file, and the job as it would be with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

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

    key_path: tuple[str | int, ...]
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

    @property
    def before_told(self) -> str:
        """The former value in words."""
        return "left out" if self.before is None else told_value(self.before)


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


def told_value(value: Written) -> str:
    """A value as TOML writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    return f'"{value}"' if isinstance(value, str) else f"{value:g}"


def job_with(job: Job, key_path: Sequence[str | int], value: object) -> Job:
    """The job with one of its (typed) values replaced."""
    changed: Job = _with(job, tuple(key_path), value)
    return changed


def _with(held: Any, path: tuple[str | int, ...], value: object) -> Any:
    if not path:
        return value
    first, rest = path[0], path[1:]
    if isinstance(first, int):
        return (*held[:first], _with(held[first], rest, value), *held[first + 1:])
    return replace(held, **{first: _with(getattr(held, first), rest, value)})
