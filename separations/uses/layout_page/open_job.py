"""The job that the page shows: its text, its history, its file, and whoever else writes to it."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from threading import RLock
from typing import Any

from preflight.files.whole_texts import sweep, write_text
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_reader import job_of_text
from preflight.job_file.named_paths import files_outside_allowed, is_outside_allowed
from separations.uses.layout_page.edits import edited, shape_of
from separations.uses.layout_page.history_journal import HistoryJournal, text_digest
from separations.uses.layout_page.job_history import JobHistory
from separations.uses.layout_page.text_file import FileText, keep_aside, read_text

#: Revisions whose shape is remembered, for edits that come late.
_SHAPES_KEPT = 4000


class StaleEdit(Exception):
    """An edit of a job that has other tables by now."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobNow:
    """The job at one moment.

    Attributes
    ----------
    revision : int
        Grows with every change of the text.
    job : Job
        What the text says.
    text : str
        Itself.
    unsaved : bool
        Whether the file says something else.
    undoes, redoes : str or None
        What would be taken back, or made again; None where there is nothing.
    other_hand : str
        What another hand did to the file, in a sentence; empty where nothing waits for an answer.
    remark : str
        What there is to know since the job was opened.
    """

    revision: int
    job: Job
    text: str
    unsaved: bool
    undoes: str | None
    redoes: str | None
    other_hand: str
    remark: str


class OpenJob:
    """A job open on the page; any thread may ask and edit.

    Parameters
    ----------
    path : Path
        The job file.

    Raises
    ------
    InputProblem
        When the job cannot be used, or another page has it open.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._outside = is_outside_allowed()
        self._lock = RLock()
        self._file = read_text(path)
        self._job = self._read(self._file.text)
        self._journal = HistoryJournal(path.resolve())
        with contextlib.suppress(OSError):
            sweep(path.resolve())
        self._history, self._saved = JobHistory(self._file.text), self._file.text
        self._theirs: FileText | None = None
        self._their_fault = ""
        self.revision = 1
        self._shapes: dict[int, tuple[object, ...]] = {}
        self._remark = self._take_up()
        self._journal.begin(self._history, text_digest(self._saved))
        self._shapes[1] = shape_of(self._job)

    def now(self) -> JobNow:
        """The job at this moment."""
        with self._lock:
            remark = self._remark
            if self._journal.fault:
                remark = ("Unsaved changes cannot be kept on the disk "
                          f"({self._journal.fault}): save often.")
            return JobNow(
                revision=self.revision, job=self._job, text=self._history.text,
                unsaved=self._history.text != self._saved, undoes=self._history.undoes,
                redoes=self._history.redoes, other_hand=self._other_hand(), remark=remark)

    def edit(self, edits: Sequence[dict[str, Any]], told: str, base: int) -> None:
        """Make edits of one step; all of them or none.

        Raises
        ------
        InputProblem
            When the job would not be one with them.
        StaleEdit
            When they were meant for a job with other tables.
        """
        with self._lock:
            if self._shapes.get(base) != shape_of(self._job):
                raise StaleEdit
            text = edited(self._history.text, edits)
            if text != self._history.text:
                self._step(text, told)

    def put(self, text: str, told: str) -> None:
        """Make a whole text the job's; faults as in `edit`."""
        with self._lock:
            self._step(text, told)

    def move(self, by: int) -> None:
        """Take a step back (−1) or make it again (1); nothing where there is none."""
        with self._lock:
            if self._history.move(by):
                try:
                    self._job = self._read(self._history.text)
                except InputProblem:  # a file that the step names is gone
                    self._history.move(-by)
                    raise
                self._journal.add(place=self._history.place)
                self._grow()

    def save(self) -> None:
        """Write the job file, unless another hand wrote it meanwhile.

        Raises
        ------
        InputProblem
            When it cannot be written, or another hand wrote it.
        """
        with self._lock:
            self.look_at_file()
            if self._theirs is not None or self._their_fault:
                raise InputProblem(where=str(self.path), found="a file that was changed elsewhere",
                                   would_do="a choice between the two")
            text = self._history.text
            write_text(self.path, self._file.coded(text))
            self._saved, self._remark = text, ""
            self._journal.add(saved=text_digest(text))
            self._grow(shape=False)

    def look_at_file(self) -> bool:
        """See whether another hand wrote the file; True where something is new.

        Where nothing here is unsaved the file's text is taken, as a step that can be taken back.
        """
        with self._lock:
            before = (self.revision, self._theirs, self._their_fault)
            try:
                found: FileText | None = read_text(self.path)
                self._their_fault = ""
            except InputProblem as fault:
                found, self._their_fault = None, fault.sentence
            if found is not None and found.text == self._saved:
                self._theirs = None
            elif found is not None and found.text == self._history.text:
                self._theirs, self._saved = None, found.text
                self._journal.add(saved=text_digest(found.text))
            elif found is not None:
                self._notice(found)
            return before != (self.revision, self._theirs, self._their_fault)

    def settle(self, choice: str) -> None:
        """Go on with the file's text (``theirs``) or with this one (``mine``).

        Both are steps of the history afterwards, so that neither is lost.
        """
        with self._lock:
            mine, theirs = self._history.text, self._theirs
            if theirs is not None:
                if choice == "theirs":
                    self._step(theirs.text, "the file as it was changed elsewhere")
                else:
                    with contextlib.suppress(InputProblem):
                        self._step(theirs.text, "the file as it was changed elsewhere")
                    self._step(mine, "the job as it was here")
                self._file, self._saved, self._theirs = theirs, theirs.text, None
                self._journal.add(saved=text_digest(self._saved))
            elif self._their_fault and choice == "mine":
                keep_aside(self.path)
                write_text(self.path, self._file.coded(mine))
                self._their_fault, self._saved = "", mine
                self._journal.add(saved=text_digest(mine))
            self._grow()

    def text_at(self, back: int) -> str:
        """The text so many steps ago, or the first."""
        with self._lock:
            return self._history[max(0, self._history.place - back)].text

    @property
    def saved_text(self) -> str:
        """What the file says, as far as is known here."""
        with self._lock:
            return self._saved

    def job_of(self, text: str, path: Path | None = None) -> Job:
        """A text as a job at this place; faults as in `edit`."""
        return self._read(text, path)

    def close(self) -> None:
        """Let go of the job; unsaved changes stay in the journal."""
        with self._lock:
            unsaved = self._history.text != self._saved or self._theirs is not None
            self._journal.close(forget=not unsaved)

    @contextlib.contextmanager
    def paths_as_allowed(self) -> Iterator[None]:
        """What reads a job within may name files as the command was told."""
        with files_outside_allowed() if self._outside else contextlib.nullcontext():
            yield

    def _read(self, text: str, path: Path | None = None) -> Job:
        with self.paths_as_allowed():
            return job_of_text(text, path or self.path)

    def _step(self, text: str, told: str) -> None:
        job = self._read(text)
        self._history.add(text, told)
        self._journal.add(text=text, told=told)
        self._job = job
        self._grow()

    def _grow(self, *, shape: bool = True) -> None:
        self.revision += 1
        self._shapes[self.revision] = shape_of(self._job)
        if shape:
            self._remark = ""
        self._shapes.pop(self.revision - _SHAPES_KEPT, None)

    def _notice(self, found: FileText) -> None:
        """Another hand wrote the file: take it, or have it wait for a choice."""
        try:
            self._read(found.text)
        except InputProblem as fault:
            self._theirs, self._their_fault = None, fault.sentence
            return
        if self._history.text != self._saved:
            self._theirs = found
            return
        self._step(found.text, "a change of the file made elsewhere")
        self._file, self._saved, self._theirs = found, found.text, None
        self._remark = "The file was changed elsewhere; the page shows it as it is now."
        self._journal.add(saved=text_digest(found.text))

    def _other_hand(self) -> str:
        if self._their_fault:
            return ("The job file can no longer be used as it is (with 'Keep mine' it is kept "
                    f"under another name): {self._their_fault}")
        if self._theirs is not None:
            return ("The job file was changed elsewhere while changes here were not saved. Both "
                    "are kept, and either can be taken back.")
        return ""

    def _take_up(self) -> str:
        """Go on where a former server was stopped; a sentence of what was taken up."""
        left = self._journal.found()
        if left is None or (len(left.history) == 1 and left.history.text == self._file.text):
            return ""
        try:
            job = self._read(left.history.text)
        except InputProblem:
            return ""
        mine, theirs = left.history.text, self._file
        if mine == theirs.text:
            self._history = left.history
            return ""
        unsaved = text_digest(mine) != left.saved
        self._history, self._job = left.history, job
        if not unsaved:  # the file was changed while no page was open
            self._history.add(theirs.text, "a change of the file made elsewhere")
            self._job = self._read(theirs.text)
            return ""
        if text_digest(theirs.text) != left.saved:
            self._theirs = theirs
        return "Changes that were not saved when the page was last open are taken up again."
