"""The job file itself: read, and kept where another hand has changed it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from preflight.files.regular_files import bytes_of
from preflight.input_problem import InputProblem

_MOST_BYTES = 1_000_000
_BOM = "\ufeff"


@dataclass(frozen=True, slots=True)
class FileText:
    """What a job file holds, and how its lines end.

    Attributes
    ----------
    text : str
        With plain line ends.
    ends : str
        As the file has them.
    bom : bool
        Whether a byte order mark leads it.
    """

    text: str
    ends: str = "\n"
    bom: bool = False

    def coded(self, text: str) -> bytes:
        """Another text as this file's bytes would be."""
        return ((_BOM if self.bom else "") + text.replace("\n", self.ends)).encode("utf-8")


def read_text(path: Path) -> FileText:
    """Read a job file.

    Raises
    ------
    InputProblem
        When it cannot be read or is no UTF-8 text.
    """
    asked = "a job file in TOML, under 1 MB and in UTF-8,"
    try:
        text = bytes_of(path, _MOST_BYTES, would_do=asked).decode("utf-8")
    except UnicodeDecodeError:
        raise InputProblem(where=str(path), found="bytes that are no UTF-8 text",
                           would_do=asked) from None
    bom = text.startswith(_BOM)
    ends = "\r\n" if "\r\n" in text else "\n"
    return FileText(text.removeprefix(_BOM).replace("\r\n", "\n"), ends, bom)


def keep_aside(path: Path) -> None:
    """Copy what another hand made of a job file beside it, before it is written over."""
    raw = path.read_bytes() if path.is_file() else b""
    number = 1
    while raw:
        try:
            with path.with_name(f"{path.stem}-other-{number}{path.suffix}").open("xb") as stream:
                stream.write(raw)
            return
        except FileExistsError:
            number += 1
