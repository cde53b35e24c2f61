"""A job file's text with a key or a table changed, and every comment and line order kept.

Each change is held against what the same change does to the tables that the text stands for: a text
that would say anything else is refused, so that no edit can spoil a file.
"""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Sequence
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Array, Item, Table

from preflight.input_problem import InputProblem

#: From the top of the file; places in lists count from 0: ``("art", 0, "turn")``.
KeyPath = Sequence[str | int]
_HEADER = re.compile(r"\s*\[\[\s*(?P<name>[A-Za-z0-9_-]+)\s*\]\]\s*(#.*)?")
_ANY_HEADER = re.compile(r"\s*\[")
#: What a line may begin within: texts, remarks and lists, which may hold what looks like a header.
_PARTS = re.compile(r'"""(?:\\.|[^\\])*?"{3,5}|\'{3}.*?\'{3,5}|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\''
                    r"|#[^\n]*|[\[\]{}\n]", re.DOTALL)
#: A list with more parts than this is written a part a line.
_MOST_IN_LINE = 4


def with_key(text: str, path: KeyPath, value: Any) -> str:
    """The text with a key set; a table or key that is left out is added.

    Parameters
    ----------
    text : str
        TOML.
    path : sequence of str or int
        The key.
    value : str, number, bool, or list of them
        What it is to say.

    Raises
    ------
    InputProblem
        When there is no such place, or the text is written in a way that cannot be changed here.
    """
    wanted = _tables(text)
    held = _owner_in(wanted, path)
    held[path[-1]] = _plain(value)
    document = _document(text)
    table, key = owner_of(document, path), str(path[-1])
    item = _item(value)
    if key in table:
        if isinstance(table, Table):
            former: Any = table.item(key)
            former = former.trivia
            item.trivia.comment, item.trivia.comment_ws = former.comment, former.comment_ws
        table[key] = item
    else:
        add_key(table, key, item)
    return _checked(tomlkit.dumps(document), wanted, path)


def without_key(text: str, path: KeyPath) -> str:
    """The text with a key left out, its own comment with it; faults as in `with_key`."""
    wanted = _tables(text)
    held = _owner_in(wanted, path, make=False)
    if path[-1] not in held:
        return text
    _need(not isinstance(held[path[-1]], dict), path)
    del held[path[-1]]
    document = _document(text)
    del owner_of(document, path)[path[-1]]
    return _checked(tomlkit.dumps(document), wanted, path)


def with_table(text: str, name: str, keys: dict[str, Any], place: int | None = None) -> str:
    """The text with a table ``[[name]]`` more, by default after the others of that name.

    Faults as in `with_key`.
    """
    wanted = _tables(text)
    listed = wanted.setdefault(name, [])
    at = len(listed) if place is None else min(place, len(listed))
    listed.insert(at, {key: _plain(value) for key, value in keys.items()})
    block = [f"[[{name}]]", *tomlkit.dumps({k: _item(v) for k, v in keys.items()}).splitlines()]
    lines = text.split("\n")
    starts = _blocks(lines, name)
    if not starts:
        before = _end_of_last_art(lines)
    elif at < len(starts):
        before = starts[at][0]
    else:
        before = starts[-1][1]
    made = [*lines[:before], *([""] if before and lines[before - 1].strip() else []), *block,
            *([""] if before < len(lines) and lines[before].strip() else []), *lines[before:]]
    return _checked(_joined(made), wanted, (name, at))


def without_table(text: str, name: str, place: int) -> str:
    """The text without one table ``[[name]]``; comments before it stay. Faults as in `with_key`."""
    wanted = _tables(text)
    _need(name in wanted and 0 <= place < len(wanted[name]), (name, place))
    del wanted[name][place]
    if not wanted[name]:
        del wanted[name]
    lines = text.split("\n")
    starts = _blocks(lines, name)
    _need(place < len(starts), (name, place))
    first, end = starts[place]
    while end < len(lines) and not lines[end].strip():
        end += 1
    return _checked(_joined([*lines[:first], *lines[end:]]), wanted, (name, place))


def with_table_moved(text: str, name: str, place: int, to: int) -> str:
    """The text with one table ``[[name]]`` at another place among them; faults as in `with_key`."""
    wanted = _tables(text)
    listed = wanted.get(name, [])
    _need(0 <= place < len(listed) and 0 <= to < len(listed), (name, place))
    listed.insert(to, listed.pop(place))
    lines = text.split("\n")
    starts = _blocks(lines, name)
    _need(len(starts) == len(listed), (name, place))
    order = list(range(len(starts)))
    order.insert(to, order.pop(place))
    # Each place keeps what stands around it; the tables themselves change places.
    made, last = [], 0
    for (first, end), which in zip(starts, order, strict=True):
        made += [*lines[last:first], *lines[slice(*starts[which])]]
        last = end
    return _checked(_joined([*made, *lines[last:]]), wanted, (name, place))


def owner_of(document: Any, path: KeyPath) -> Any:
    """The table of a parsed document that holds a key; one that is left out is opened."""
    held = document
    for part in path[:-1]:
        if isinstance(part, str) and part not in held:
            held[part] = tomlkit.table()
        held = held[part]
    return held


def add_key(table: Any, key: str, value: Item) -> None:
    """Put a new key after a table's last, before comments that lead to the next table."""
    if not isinstance(table, Table):
        table[key] = value
        return
    body = table.value.body
    trailing: list[Any] = []
    while body and body[-1][0] is None:
        trailing.insert(0, body.pop())
    table.append(key, value)
    body.extend(trailing)


def _item(value: Any) -> Item:
    if isinstance(value, dict):
        within = tomlkit.inline_table()
        within.update({key: _plain(part) for key, part in value.items()})
        return within
    item: Item = tomlkit.item(_plain(value))
    if isinstance(item, Array) and len(item) > _MOST_IN_LINE:
        item.multiline(True)
    return item


def _plain(value: Any) -> Any:
    """Whole numbers without a point, and lists all through."""
    if isinstance(value, dict):
        return {key: _plain(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(part) for part in value]
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return int(value)
    return value


def _tables(text: str) -> dict[str, Any]:
    return copy.deepcopy(tomllib.loads(text))


def _document(text: str) -> Any:
    try:
        return tomlkit.parse(text)
    except TOMLKitError:
        raise _unwritable(()) from None


def _owner_in(tables: dict[str, Any], path: KeyPath, *, make: bool = True) -> Any:
    held: Any = tables
    for part in path[:-1]:
        if isinstance(held, dict) and isinstance(part, str):
            _need(make or part in held, path)
            held = held.setdefault(part, {})
        else:
            _need(isinstance(held, list) and isinstance(part, int) and 0 <= part < len(held), path)
            held = held[part]
    _need(isinstance(held, dict), path)
    return held


def _blocks(lines: list[str], name: str) -> list[tuple[int, int]]:
    """Where the tables of a name stand: first line, and the line after their last key."""
    headers = _headers(lines)
    found = []
    for number, first in enumerate(headers):
        header = _HEADER.fullmatch(lines[first])
        if header is None or header["name"] != name:
            continue
        # Tables within it, such as [ink.mesh], belong to it.
        after = (n for n in headers[number + 1:]
                 if not re.match(rf"\s*\[+\s*{re.escape(name)}\s*\.", lines[n]))
        end = next(after, len(lines))
        while end > first + 1 and lines[end - 1].split("#", 1)[0].strip() == "":
            end -= 1
        found.append((first, end))
    return found


def _headers(lines: list[str]) -> list[int]:
    """Lines that begin a table, and not a list within a list that is written over several lines."""
    found, line, depth = [], 0, 0
    for part in _PARTS.finditer("\n".join(["", *lines])):
        token = part[0]
        if (token == "\n" and depth == 0 and line < len(lines)
                and _ANY_HEADER.match(lines[line])):
            found.append(line)
        depth += (token in "[{") - (token in "]}")
        line += token.count("\n")
    return found


def _end_of_last_art(lines: list[str]) -> int:
    """Where a first note or line is put: after the art, or at the end."""
    for name in ("line", "art"):
        blocks = _blocks(lines, name)
        if blocks:
            return blocks[-1][1]
    return len(lines)


def _joined(lines: list[str]) -> str:
    return "\n".join(lines).rstrip("\n") + "\n"


def _checked(text: str, wanted: dict[str, Any], path: KeyPath) -> str:
    try:
        says = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        raise _unwritable(path) from None
    if says != wanted:
        raise _unwritable(path)
    return text


def _need(there: bool, path: KeyPath) -> None:
    if not there:
        raise InputProblem(where=told_path(path), found="no such place in the job",
                           would_do="a key of a table that is there")


def _unwritable(path: KeyPath) -> InputProblem:
    return InputProblem(where=told_path(path), found="TOML written in a way that is not edited "
                        "here", would_do="an edit of the file by hand")


def told_path(path: KeyPath) -> str:
    """A key as faults name it, lists counted from 1: ``ink[3].angle``."""
    told = ""
    for part in path:
        told += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if told else str(part)
    return told or "the job file"
