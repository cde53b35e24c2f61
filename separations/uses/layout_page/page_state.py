"""All that one server has open: the job, looks at it, films being made, and pages that listen."""

from __future__ import annotations

import secrets
from pathlib import Path
from threading import RLock
from typing import Any

from preflight.job_file.job import Job
from separations.uses.layout_page.film_making import FilmMaking
from separations.uses.layout_page.news_feed import NewsFeed
from separations.uses.layout_page.open_job import JobNow, OpenJob


class NothingOpen(Exception):
    """No job is open yet."""


class PageState:
    """The server's state; any thread may ask.

    Parameters
    ----------
    folder : Path
        Where a new job's folder is made.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.feed = NewsFeed()
        self.made_key = secrets.token_urlsafe(24)
        self._lock = RLock()
        self._open: OpenJob | None = None
        self._looks: Any = None
        self._slow: Any = None
        self._films: FilmMaking | None = None

    def open(self, path: Path) -> None:
        """Open a job in place of the one that is open; faults as in `OpenJob`."""
        opened = OpenJob(path)
        with self._lock:
            self.close()
            self._open = opened
            self._films = FilmMaking(path, path.with_name(f"{path.stem}-out"), self.feed.tell,
                                     outside=opened.now().job.outside_allowed)
        self.feed.tell("job", revision=opened.revision)

    @property
    def is_open(self) -> bool:
        """Whether a job is open."""
        return self._open is not None

    @property
    def job(self) -> OpenJob:
        """The job that is open; raises `NothingOpen` without one."""
        if self._open is None:
            raise NothingOpen
        return self._open

    @property
    def films(self) -> FilmMaking:
        """Its films; raises `NothingOpen` without a job."""
        if self._films is None:
            raise NothingOpen
        return self._films

    @property
    def looks(self) -> Any:
        """Looks at the job that is open, begun at the first asking: their libraries take a second.

        Raises
        ------
        NothingOpen
            Without a job.
        """
        from separations.uses.layout_page.job_looks import JobLooks
        from separations.uses.layout_page.slow_looks import SlowLooks

        with self._lock:
            now = self.job.now()
            if self._looks is None:
                self._looks = JobLooks(now.job, now.revision)
                self._slow = SlowLooks(self._looks, self.feed.tell,
                                       lambda: self.feed.listeners > 0)
                self._slow.start()
            return self._looks

    @property
    def slow(self) -> Any:
        """The slow looks at it."""
        _ = self.looks
        return self._slow

    def changed(self) -> JobNow:
        """The job's text may have changed: look at the newest, and tell the pages."""
        with self._lock:
            now = self.job.now()
            if self._looks is not None and self._looks.revision != now.revision:
                self._looks.show(now.job, now.revision)
                self._slow.changed()
        self.feed.tell("job", revision=now.revision)
        return now

    def job_shown(self, of: str) -> Job | None:
        """The job that a picture is asked of: None for the newest text.

        Parameters
        ----------
        of : str
            ``saved``: as the file has it; ``back:N``: N steps ago; ``beside:NAME``: another job
            file in the folder; else the newest.

        Raises
        ------
        InputProblem
            When it is no job.
        """
        from separations.uses.layout_page.text_file import read_text

        job = self.job
        if of == "saved":
            return job.job_of(job.saved_text)
        if of.startswith("back:") and of[5:].isdigit():
            return job.job_of(job.text_at(int(of[5:][:6])))
        if of.startswith("beside:") and of[7:] in self.jobs_beside():
            path = job.path.with_name(of[7:])
            return job.job_of(read_text(path).text, path)
        return None

    def jobs_beside(self) -> list[str]:
        """Names of other TOML files in the job's folder."""
        path = self.job.path
        return sorted(one.name for one in path.parent.glob("*.toml")
                      if one.name != path.name and one.is_file())[:50]

    def close(self) -> None:
        """Let go of the job that is open; unsaved changes stay in its journal."""
        with self._lock:
            if self._slow is not None:
                self._slow.stop()
            if self._films is not None:
                self._films.wait()
            if self._open is not None:
                self._open.close()
            self._open = self._looks = self._slow = self._films = None
