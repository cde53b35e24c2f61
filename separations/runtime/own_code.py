"""Which topsheet this is: its version and what its files hold."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib import metadata
from importlib.resources import files
from importlib.resources.abc import Traversable

_PACKAGES = ("preflight", "separations")
#: Files that decide what is made.
_ENDINGS = (".py", ".toml", ".css", ".js", ".ttf", ".otf")


@cache
def own_version() -> str:
    """The version, and 16 digits of the SHA-256 of all files that decide what is made.

    Two installations with the same make the same of a job; a version number alone would not tell
    a change made in place.
    """
    found = hashlib.sha256()
    for package in _PACKAGES:
        _add(files(package), package, found)
    return f"{metadata.version('topsheet')}+{found.hexdigest()[:16]}"


def _add(folder: Traversable, name: str, found: hashlib._Hash) -> None:
    for entry in sorted(folder.iterdir(), key=lambda entry: entry.name):
        inner = f"{name}/{entry.name}"
        if entry.is_dir():
            _add(entry, inner, found)
        elif entry.name.endswith(_ENDINGS):
            found.update(f"{inner}\n".encode())
            found.update(hashlib.sha256(entry.read_bytes()).digest())
