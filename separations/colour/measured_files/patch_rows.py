"""Rows of a file of readings, whatever its format: each with its place and its cells."""

from __future__ import annotations

#: The heading over patches' names.
PATCH_COLUMN = "patch"
#: Each row's place in its file, and its cells by the headings of our own list.
Rows = list[tuple[str, dict[str, str]]]
