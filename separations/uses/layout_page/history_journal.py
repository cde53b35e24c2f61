"""A job's history on disk beside the job: it outlives a closed page and a killed server.

Records are appended, each with its checksum, so that one is there whole or, after a kill in the
midst of it, not at all. The file is its owner's alone.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

from preflight.files.folder_locks import FolderTaken, held
from preflight.files.regular_files import bytes_of
from preflight.input_problem import InputProblem
from separations.uses.layout_page.job_history import JobHistory

#: Own rule, no source: some hundred thousand edits.
_MOST_BYTES = 256_000_000
#: A journal begun anew takes over so many of the last steps.
_STEPS_TAKEN_OVER = 2000
_SUM_DIGITS = 16


@dataclass(frozen=True, slots=True)
class Found:
    """What a former server left: the history, and the digest of the text that was saved last."""

    history: JobHistory
    saved: str


def text_digest(text: str) -> str:
    """What tells one text from another."""
    return hashlib.blake2b(text.encode("utf-8"), digest_size=16).hexdigest()


def journal_of(job: Path) -> Path:
    """Where a job's journal lies."""
    return job.with_name(f".{job.name}.layout")


class HistoryJournal:
    """The journal of one job, held by this process alone.

    Parameters
    ----------
    job : Path
        The job file.

    Raises
    ------
    InputProblem
        When another layout page has the job open.
    """

    def __init__(self, job: Path) -> None:
        self.path = journal_of(job)
        self._held = contextlib.ExitStack()
        self._stream: BinaryIO | None = None
        self.fault = ""
        try:
            descriptor = os.open(self.path, os.O_RDWR | os.O_CREAT
                                 | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0),
                                 0o600)
        except OSError as fault:
            self.fault = (fault.strerror or "an error").lower()
            return
        self._stream = os.fdopen(descriptor, "r+b", buffering=0)
        try:
            self._held.enter_context(held(self.path))
        except FolderTaken:
            self._stream.close()
            raise InputProblem(where=str(job), found="a layout page that has it open already",
                               would_do="that page, or stopping its server first,") from None

    def found(self) -> Found | None:
        """What a former server left, or None."""
        if self._stream is None:
            return None
        with contextlib.suppress(InputProblem):
            return _replayed(bytes_of(self.path, _MOST_BYTES, would_do="a journal"))
        return None

    def begin(self, history: JobHistory, saved: str) -> None:
        """Write the journal anew: its last steps, and the digest of the saved text."""
        if self._stream is None:
            return
        first = max(0, len(history) - _STEPS_TAKEN_OVER)
        records: list[dict[str, Any]] = [
            {"text": history[n].text, "told": history[n].told}
            for n in range(first, len(history))]
        records += [{"place": history.place - first}, {"saved": saved}]
        whole = b"".join(_record(record) for record in records)
        with self._telling():
            # The former records stay until the new ones are on the disk after them.
            self._stream.seek(0, os.SEEK_END)
            start = self._stream.tell()
            self._stream.write(_record({"anew": True}) + whole)
            os.fsync(self._stream.fileno())
            if start > _MOST_BYTES // 8:
                self._stream.seek(0)
                self._stream.write(whole)
                self._stream.truncate(len(whole))
                self._stream.seek(0, os.SEEK_END)

    def add(self, **record: Any) -> None:
        """Append a record: ``text`` with ``told``, ``place``, or ``saved``."""
        if self._stream is None:
            return
        with self._telling():
            self._stream.write(_record(record))

    def close(self, *, forget: bool) -> None:
        """Let go of the journal; ``forget`` removes it, where nothing in it is unsaved."""
        if self._stream is not None:
            if forget:
                self.path.unlink(missing_ok=True)
            self._stream.close()
            self._stream = None
        self._held.close()

    @contextlib.contextmanager
    def _telling(self) -> Iterator[None]:
        """A disk that takes no more is told on the page, not raised."""
        try:
            yield
            self.fault = ""
        except OSError as fault:
            self.fault = (fault.strerror or "an error").lower()


def _record(record: dict[str, Any]) -> bytes:
    told = json.dumps(record, ensure_ascii=True, separators=(",", ":")).encode("ascii")
    return _sum(told) + b" " + told + b"\n"


def _sum(told: bytes) -> bytes:
    return hashlib.blake2b(told, digest_size=_SUM_DIGITS // 2).hexdigest().encode("ascii")


def _replayed(raw: bytes) -> Found | None:
    """The history that records lead to; what follows a broken one was never finished."""
    history: JobHistory | None = None
    saved = ""
    for line in raw.split(b"\n"):
        record = _read(line)
        match record:
            case {"anew": True}:
                history, saved = None, ""
            case {"text": str(text), "told": str(told)}:
                if history is None:
                    history = JobHistory(text)
                else:
                    history.add(text, told)
            case {"place": int(place)} if history is not None:
                history.move(place - history.place)
            case {"saved": str(digest)}:
                saved = digest
    return None if history is None or not saved else Found(history, saved)


def _read(line: bytes) -> dict[str, Any]:
    told = line[_SUM_DIGITS + 1:]
    if not told or line[:_SUM_DIGITS] != _sum(told):
        return {}
    try:
        record = json.loads(told)
    except (ValueError, RecursionError):
        return {}
    return record if isinstance(record, dict) else {}
