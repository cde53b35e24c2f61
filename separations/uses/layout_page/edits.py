"""Edits as the page sends them, made in a job's text."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from preflight.input_problem import InputProblem
from preflight.job_file.edited_text import (
    with_key,
    with_table,
    with_table_moved,
    without_key,
    without_table,
)
from preflight.job_file.job import Job

#: Tables of which a job may have several, as far as the page adds and removes them.
LISTED = ("art", "line", "track", "landmark", "note", "keep_out", "important", "ink")
_MOST_EDITS, _MOST_DEPTH, _MOST_LETTERS = 64, 6, 2000


def edited(text: str, edits: Sequence[dict[str, Any]]) -> str:
    """A job's text with edits made one after another.

    Parameters
    ----------
    text : str
        The job.
    edits : sequence of dict
        ``{"set": path, "to": value}``, ``{"unset": path}``, ``{"add": table, "keys": {…}}`` with
        ``at`` if not the last, ``{"remove": table, "at": n}`` or ``{"move": table, "at": n,
        "to": n}``.

    Raises
    ------
    InputProblem
        When one is none of these, or cannot be made.
    """
    if not isinstance(edits, list) or not 1 <= len(edits) <= _MOST_EDITS:
        raise _no_edit()
    for edit in edits:
        text = _made(text, edit)
    return text


def _made(text: str, edit: Any) -> str:
    match edit:
        case {"set": list(path), "to": value} if len(edit) == 2:
            return with_key(text, _path(path), _value(value))
        case {"unset": list(path)} if len(edit) == 1:
            return without_key(text, _path(path))
        case {"add": str(name), "keys": dict(keys)} if name in LISTED and all(
                isinstance(key, str) for key in keys):
            at = edit.get("at")
            return with_table(text, name, {k: _value(v) for k, v in keys.items()},
                              at if _is_place(at) else None)
        case {"remove": str(name), "at": at} if name in LISTED and _is_place(at):
            return without_table(text, name, at)
        case {"move": str(name), "at": at, "to": to} if name in LISTED and _is_place(at) \
                and _is_place(to):
            return with_table_moved(text, name, at, to)
    raise _no_edit()


def shape_of(job: Job) -> tuple[object, ...]:
    """What an edit by places counts on: which tables a job has, in their order."""
    return (tuple((art.file, art.kind) for art in job.art), len(job.line), len(job.note),
            tuple(ink.name for ink in job.ink), len(job.keep_out), len(job.important),
            len(job.track), len(job.landmark))


def _is_place(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value < 10_000


def _path(path: list[Any]) -> list[str | int]:
    if not 1 <= len(path) <= _MOST_DEPTH or not isinstance(path[-1], str) or not all(
            _is_place(part) or (isinstance(part, str) and part.isidentifier()) for part in path):
        raise _no_edit()
    return path


def _value(value: Any, depth: int = 0) -> Any:
    """A plain value; anything else is refused before it reaches the text."""
    if depth > _MOST_DEPTH:
        raise _no_edit()
    match value:
        case bool() | int():
            return value
        case float() if value == value and abs(value) < 1e15:
            return value
        case str() if len(value) <= _MOST_LETTERS:
            return value
        case list() if len(value) <= _MOST_LETTERS:
            return [_value(part, depth + 1) for part in value]
        case dict() if len(value) <= _MOST_LETTERS:
            return {str(key): _value(part, depth + 1) for key, part in value.items()}
    raise _no_edit()


def _no_edit() -> InputProblem:
    return InputProblem(where="the page", found="an edit of no known kind",
                        would_do=f"a key set or left out, or a table among {', '.join(LISTED)}")
