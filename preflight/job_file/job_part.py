"""Parts of a job: only the keys that a step names, and what stands in them as one text.

A step that is handed a part cannot read anything else of the job: a key that was not named is not
there, and looking at it raises `AttributeError`. So what a step names is all that its result can
depend on.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, get_args, get_type_hints

from preflight.input_problem import InputProblem
from preflight.job_file.drawn_consistency import is_drawing
from preflight.job_file.job import NOT_KEYS, Job
from preflight.job_file.job_tables import ArtTable

Table = TypeVar("Table")
#: Keys that name a file beside the job: its content counts as what stands in the key.
_FILE_KEYS = (("board", "outline"), ("profile", "points"), ("art", "file"), ("art", "opacity"),
              ("art", "font"), ("line", "font"), ("note", "font"), ("press_profile", ""),
              ("ink", "reflectance"), ("wood", "reflectance"),
              ("track", "file"), ("track", "font"), ("ground", "grid"), ("plan", "font"))
#: What is told of artworks that a step did not name: which they are, not what is in them.
_ART_ALWAYS = ("kind", "file")
_WHICH = {"art": ("photo", "line", "drawn"), "ink": ("own",)}
_WRITTEN = re.compile(r"(?P<table>\w+)(\[(?P<which>\w+)\])?(\.(?P<key>\w+))?")


#: Every key of a job, as `reads_of` takes them.
EVERYTHING = " ".join(field.name for field in fields(Job) if field.name not in NOT_KEYS)


@dataclass(frozen=True, slots=True)
class Read:
    """One key, or one table, that a step reads.

    Attributes
    ----------
    table : str
        A key of the job, such as ``film`` or ``title``.
    key : str
        A key of that table; empty for all of them.
    which : str
        Of the artworks only those of a kind (``photo``, ``line``: pictures of lines, ``drawn``:
        drawings and flats), of the inks only the step's ``own``; empty for all.
    """

    table: str
    key: str
    which: str


@dataclass(frozen=True, slots=True, eq=False)
class JobPart:
    """A part of a job.

    Attributes
    ----------
    job : Job
        The job with the named keys alone, and where it stands.
    told : str
        What stands in them, the same for the same values.
    files : tuple of Path
        The files that they name.
    """

    job: Job
    told: str
    files: tuple[Path, ...]


@cache
def reads_of(written: str) -> tuple[Read, ...]:
    """Keys as a step names them: ``"stage film.resolution art[photo] ink[own].angle"``.

    Raises
    ------
    ValueError
        When no job has such a key.
    """
    return tuple(_read_of(word) for word in written.split())


def job_part(job: Job, reads: tuple[Read, ...], own_ink: int | None = None) -> JobPart:
    """Take a part of a job.

    Parameters
    ----------
    job : Job
        The whole.
    reads : tuple of Read
        From `reads_of`.
    own_ink : int, optional
        The ink that ``ink[own]`` stands for, its place in print order from 0.
    """
    part, told = _bare(Job), [str(job.path.parent)]
    files: list[str] = []
    for name in NOT_KEYS:
        _give(part, name, getattr(job, name))
    tables = dict.fromkeys(read.table for read in reads)
    for table in tables:
        mine = [read for read in reads if read.table == table]
        value = getattr(job, table)
        if table == "art":
            value = tuple(_art_part(art, mine) for art in value)
        elif table == "ink":
            value = tuple(_keys_of(ink, [r.key for r in mine if not r.which or n == own_ink])
                          for n, ink in enumerate(value))
        elif isinstance(value, tuple) and all(read.key for read in mine):
            value = tuple(_keys_of(one, [read.key for read in mine]) for one in value)
        elif value is not None and all(read.key for read in mine):
            value = _keys_of(value, [read.key for read in mine])
        _give(part, table, value)
        told.append(f"{table}={_told(value)}")
        files += _files_in(table, value, mine)
    return JobPart(part, "\n".join(told), tuple(_places(job, files)))


def _read_of(word: str) -> Read:
    written = _WRITTEN.fullmatch(word)
    if written is None:
        raise ValueError(f"'{word}' is no key of a job")
    read = Read(written["table"], written["key"] or "", written["which"] or "")
    kinds = _tables_of(get_type_hints(Job).get(read.table))
    known = [field.name for kind in kinds for field in fields(kind)]
    if (read.table not in get_type_hints(Job) or (read.key and read.key not in known)
            or (read.which and read.which not in _WHICH.get(read.table, ()))):
        raise ValueError(f"'{word}' is no key of a job")
    return read


def _tables_of(hint: Any) -> list[Any]:
    if is_dataclass(hint):
        return [hint]
    return [table for argument in get_args(hint) for table in _tables_of(argument)]


def _art_part(art: ArtTable, reads: list[Read]) -> ArtTable:
    kind = "drawn" if is_drawing(art) else art.kind
    mine = [read.key for read in reads if read.which in ("", kind)]
    return art if "" in mine else _keys_of(art, [*_ART_ALWAYS, *mine])


def _keys_of(table: Table, keys: list[str]) -> Table:
    """A table with some of its keys alone; with ``""`` among them all of it."""
    if "" in keys:
        return table
    part = _bare(type(table))
    for key in dict.fromkeys(keys):
        _give(part, key, getattr(table, key))
    return part


def _bare(kind: type[Table]) -> Table:
    return object.__new__(kind)


def _give(part: object, key: str, value: object) -> None:
    object.__setattr__(part, key, value)


def _told(value: Any) -> str:
    if isinstance(value, tuple):
        return f"({', '.join(_told(one) for one in value)})"
    if is_dataclass(value) and not isinstance(value, type):
        return f"{type(value).__name__}({', '.join(_keys_told(value))})"
    return repr(value)


def _keys_told(table: Any) -> Iterator[str]:
    for field in fields(table):
        try:
            yield f"{field.name}={_told(getattr(table, field.name))}"
        except AttributeError:
            continue


def _files_in(table: str, value: Any, reads: list[Read]) -> Iterator[str]:
    """Names of the files whose content counts; not of artworks that were not named."""
    if (table, "") in _FILE_KEYS and value is not None:
        yield value
    for one in value if isinstance(value, tuple) else (value,):
        named = one if table != "art" or _is_named(one, reads) else None
        for key in (key for of, key in _FILE_KEYS if of == table and key):
            name = getattr(named, key, None)
            if name:
                yield name


def _is_named(art: ArtTable, reads: list[Read]) -> bool:
    kind = "drawn" if is_drawing(art) else art.kind
    return any(read.which in ("", kind) and read.key in ("", *_names_files()) for read in reads)


def _names_files() -> tuple[str, ...]:
    return tuple(key for table, key in _FILE_KEYS if table == "art")


def _places(job: Job, names: list[str]) -> Iterator[Path]:
    for name in names:
        try:
            yield job.beside(name)
        except InputProblem:  # its reader tells of it
            continue
