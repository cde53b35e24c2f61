"""Objects appended to a finished PDF as an incremental update, streams written straight through.

Source: ISO 32000-1:2008, 7.5.6 (incremental updates) and 7.3.8 (a stream's length may be an
object written after it).
"""

from __future__ import annotations

import hashlib
import re
from io import BytesIO
from typing import BinaryIO

import pikepdf


class PdfAppendix:
    """Writes a PDF and then further or replaced objects, none of them held in memory.

    Parameters
    ----------
    target : BinaryIO
        Where the file goes, front to back.
    document : bytes
        The PDF to extend, with a plain cross-reference table.
    """

    def __init__(self, target: BinaryIO, document: bytes) -> None:
        self._target = target
        self._digest = hashlib.sha256()
        self._place = 0
        self._places: dict[int, int] = {}
        with pikepdf.open(BytesIO(document)) as pdf:
            self._next_number = int(pdf.trailer.Size)
            self._root = pdf.trailer.Root.objgen[0]
            self._info = pdf.trailer.Info.objgen[0]
            self._identity = b"".join(b"<" + bytes(part).hex().encode() + b">"
                                      for part in pdf.trailer.ID)
        found = re.findall(rb"startxref\s+(\d+)\s+%%EOF", document)
        self._previous = int(found[-1])
        self.write(document)

    def write(self, data: bytes) -> None:
        """Append bytes as they are."""
        self._target.write(data)
        self._digest.update(data)
        self._place += len(data)

    def begin_stream(self, number: int, dictionary: str) -> None:
        """Begin object ``number``, a stream with these dictionary entries but for its length."""
        self._begin(number)
        self.write(f"<< {dictionary} /Length {self._next_number} 0 R >>\nstream\n".encode("ascii"))
        self._stream_start = self._place

    def end_stream(self) -> None:
        """End the stream begun last, and write its length."""
        length = self._place - self._stream_start
        self.write(b"\nendstream\nendobj\n")
        self._begin(self._next_number)
        self._next_number += 1
        self.write(b"%d\nendobj\n" % length)

    def close(self) -> str:
        """Write the cross-reference table and trailer; SHA-256 of the whole file, in hex."""
        start = self._place
        self.write(b"xref\n")
        for number, place in sorted(self._places.items()):
            self.write(b"%d 1\n%010d 00000 n \n" % (number, place))
        self.write(b"trailer\n<< /Size %d /Root %d 0 R /Info %d 0 R /ID [%s] /Prev %d >>\n"
                   % (self._next_number, self._root, self._info, self._identity, self._previous))
        self.write(b"startxref\n%d\n%%%%EOF\n" % start)
        return self._digest.hexdigest()

    def _begin(self, number: int) -> None:
        self._places[number] = self._place
        self.write(b"%d 0 obj\n" % number)
