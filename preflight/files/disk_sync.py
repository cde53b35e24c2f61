"""What was written brought to the disk itself, as far as the system can be told to."""

from __future__ import annotations

import os
import sys
from pathlib import Path


def sync(path: Path) -> None:
    """Have a file, or a folder's list of names, written to the disk.

    Windows knows this for files only, and only for one that is open for writing.
    """
    if sys.platform == "win32" and path.is_dir():
        return
    descriptor = os.open(path, os.O_RDWR if sys.platform == "win32" else os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
