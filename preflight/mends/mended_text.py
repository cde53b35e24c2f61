"""Mends made in a job file's text, with every comment and blank line kept."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import tomlkit
from tomlkit.items import InlineTable

from preflight.job_file.edited_text import add_key, owner_of
from preflight.mends.mend import Mend, told_value


def mended_text(text: str, mends: Sequence[Mend], former: str) -> str:
    """The job file with the mends in it, each told in a comment on its line.

    Parameters
    ----------
    text : str
        A job file that has been read without fault.
    mends : sequence of Mend
        What to change.
    former : str
        What the first line calls the file that was mended.
    """
    document = tomlkit.parse(text)
    for mend in mends:
        _set(document, mend)
    head = (f"# Mended by topsheet from {_one_line(former)}: "
            f"{', '.join(_one_line(m.key_told) for m in mends)}.\n")
    return head + tomlkit.dumps(document)


def _set(document: Any, mend: Mend) -> None:
    table, key = owner_of(document, mend.key_path), str(mend.key_path[-1])
    after = tomlkit.item(mend.after)
    if isinstance(table, InlineTable):  # between braces no comment may stand
        table[key] = after
        return
    told = f"mended, was {told_value(mend.before)}: {_one_line(mend.why)}"
    had = table.item(key).trivia.comment if key in table else ""
    kept = had.lstrip("# ").strip()
    after.comment(f"{kept} ({told})" if kept else told)
    if key in table:
        table[key] = after
    else:
        add_key(table, key, after)


def _one_line(text: str) -> str:
    """The text without anything that would end a comment or command a terminal."""
    return "".join(c if c.isprintable() else " " for c in text)
