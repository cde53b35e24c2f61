"""How the files of an ink are called."""

from __future__ import annotations

import re

_MOST_LETTERS = 40


def film_name(order: int, ink: str) -> str:
    """Print order, from 1, and the ink in letters, digits and hyphens: ``01-Deep-blue``."""
    plain = re.sub(r"[^A-Za-z0-9]+", "-", ink).strip("-")[:_MOST_LETTERS] or "ink"
    return f"{order:02d}-{plain}"
