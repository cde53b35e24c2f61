"""News for the open pages: each gets a line of JSON when something is ready or has changed."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from threading import Lock
from typing import Any

#: How often a silent stream says that it is still there (s), so that a closed page is noticed.
_STILL_THERE_S = 15.0
#: News that may wait for one page; a page that takes none loses the oldest and asks anew.
_MOST_WAITING = 200


class NewsFeed:
    """Tells all open pages; any thread may tell."""

    def __init__(self) -> None:
        self._listeners: dict[asyncio.Queue[str], asyncio.AbstractEventLoop] = {}
        self._lock = Lock()

    @property
    def listeners(self) -> int:
        """How many pages listen."""
        with self._lock:
            return len(self._listeners)

    def tell(self, kind: str, **news: Any) -> None:
        """Tell every page."""
        line = json.dumps({"kind": kind, **news}) + "\n"
        with self._lock:
            listeners = list(self._listeners.items())
        for queue, loop in listeners:
            try:
                loop.call_soon_threadsafe(_put, queue, line)
            except RuntimeError:  # the server is stopping
                continue

    async def lines(self) -> AsyncIterator[bytes]:
        """One page's news, until it goes."""
        queue: asyncio.Queue[str] = asyncio.Queue()
        with self._lock:
            self._listeners[queue] = asyncio.get_running_loop()
        try:
            yield b'{"kind":"hello"}\n'
            while True:
                try:
                    line = await asyncio.wait_for(queue.get(), _STILL_THERE_S)
                except TimeoutError:
                    line = '{"kind":"still"}\n'
                if line == _END:
                    return
                yield line.encode("utf-8")
        finally:
            with self._lock:
                del self._listeners[queue]

    def end(self) -> None:
        """Send every page away: the server stops."""
        with self._lock:
            listeners = list(self._listeners.items())
        for queue, loop in listeners:
            try:
                loop.call_soon_threadsafe(queue.put_nowait, _END)
            except RuntimeError:
                continue


_END = ""


def _put(queue: asyncio.Queue[str], line: str) -> None:
    if queue.qsize() >= _MOST_WAITING:
        queue.get_nowait()
    queue.put_nowait(line)
