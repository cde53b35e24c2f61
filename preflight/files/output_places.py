"""Where an output may go: names that a system cannot have, and links that lead nowhere."""

from __future__ import annotations

import os
import re
import sys
from pathlib import Path

from preflight.input_problem import InputProblem

#: Names of devices, whatever their ending. Source: Microsoft, "Naming Files, Paths, and
#: Namespaces".
_DEVICE = re.compile(r"(con|prn|aux|nul|conin\$|conout\$|(com|lpt)[0-9¹²³]) *(\..*)?",
                     re.IGNORECASE)
_FORBIDDEN = re.compile(r'[<>:"/\\|?*\x00-\x1f]')


def is_no_name_on_windows(name: str) -> bool:
    """Whether Windows takes a file's name for a device, changes it, or refuses it."""
    return bool(_DEVICE.fullmatch(name) or _FORBIDDEN.search(name) or name[-1:] in (".", " "))


def resolved(path: Path) -> Path:
    """The path with its links followed, whether it is there or not.

    Raises
    ------
    InputProblem
        When it can be no file's path, or links lead back to themselves.
    """
    try:
        found = path.resolve()
        found.exists()
    except (OSError, RuntimeError, ValueError):
        raise InputProblem(
            where=str(path), found="links that go round, or a name that no folder can have",
            would_do="the path of a folder") from None
    return found


def settled(target: Path) -> Path:
    """An output's path without a way there and back (``x/..``), which may lead through nothing.

    Raises
    ------
    InputProblem
        As `resolved`, or when the system can have no file of that name.
    """
    place = resolved(target) if ".." in target.parts or not target.name else target
    resolved(place)
    if not place.name:
        raise InputProblem(where=str(target), found="the root of a disk", would_do="a folder in it")
    if sys.platform == "win32" and is_no_name_on_windows(os.fspath(place.name)):
        raise InputProblem(where=str(target), found="a name that Windows keeps for itself",
                           would_do="another name")
    return place
