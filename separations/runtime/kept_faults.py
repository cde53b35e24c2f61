"""A fault of topsheet's own, kept in a file for its developers."""

from __future__ import annotations

import tempfile
import traceback


def kept_fault(fault: BaseException) -> str:
    """Keep a fault's story in a file of its own, and say in a sentence where it is."""
    try:
        with tempfile.NamedTemporaryFile("w", prefix="topsheet-fault-", suffix=".txt",
                                         delete=False, encoding="utf-8",
                                         errors="backslashreplace") as kept:
            traceback.print_exception(fault, file=kept)
    except OSError:
        return "No file about it could be kept; set TMPDIR to a folder with room and try again."
    return f"Please send {kept.name} to its developers."
