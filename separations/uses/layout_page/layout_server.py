"""The page's server: on this machine alone, and only as long as somebody wants it."""

from __future__ import annotations

import asyncio
import secrets
import signal
import socket
import threading
import webbrowser
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from importlib.resources import files
from pathlib import Path
from types import FrameType

import uvicorn
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from preflight.input_problem import InputProblem
from separations.pipeline.session import NotWanted
from separations.runtime.kept_faults import kept_fault
from separations.uses.layout_page.begin_routes import Staging, begin_routes
from separations.uses.layout_page.film_routes import film_routes
from separations.uses.layout_page.job_routes import job_routes
from separations.uses.layout_page.look_routes import look_routes
from separations.uses.layout_page.open_job import StaleEdit
from separations.uses.layout_page.page_state import NothingOpen, PageState
from separations.uses.layout_page.request_guard import App, RequestGuard, TooLarge

HOST = "127.0.0.1"
#: How often the job file is looked at for another hand's changes (s).
_LOOK_EVERY_S = 1.0
_KINDS = {".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8",
          ".svg": "image/svg+xml", ".js": "text/javascript; charset=utf-8"}


def serve_layout(job: Path | None, folder: Path, *, say: Callable[[str], None], port: int = 0,
                 open_browser: bool = True) -> None:
    """Serve the page until it is stopped (Ctrl-C).

    Parameters
    ----------
    job : Path or None
        The job file; None to begin one on the page.
    folder : Path
        Where a new job's folder is made.
    say : callable
        Told the page's address.
    port : int
        0 for any that is free.
    open_browser : bool
        Whether to open it in the browser of this machine.

    Raises
    ------
    InputProblem
        When the job cannot be used, or the port cannot be had.
    """
    state = PageState(folder)
    if job is not None:
        state.open(job)
    listening = _socket(port)
    port = listening.getsockname()[1]
    token = secrets.token_urlsafe(32)
    address = f"http://{HOST}:{port}/#{token}"
    say(f"The layout page: {address}")
    say("It is for this machine only. Stop it with Ctrl-C; changes that are not saved are kept.")
    if job is not None:
        threading.Thread(target=_warm, args=(state,), name="first look", daemon=True).start()
    server = _Server(uvicorn.Config(
        page_app(state, token, port), log_level="critical", access_log=False, lifespan="on",
        timeout_graceful_shutdown=2, server_header=False, date_header=False, http="h11",
        ws="none", h11_max_incomplete_event_size=64 * 1024), state)
    if open_browser:
        threading.Timer(0.1, webbrowser.open, (address,)).start()
    try:
        asyncio.run(server.serve(sockets=[listening]))
    finally:
        state.close()
    if server.stopped_by not in (None, signal.SIGINT):  # Ctrl-C is how the page is ended
        signal.raise_signal(server.stopped_by)


class _Server(uvicorn.Server):
    """A server that sends its pages away when a signal asks it to end, and passes the signal on."""

    def __init__(self, config: uvicorn.Config, state: PageState) -> None:
        super().__init__(config)
        self._state = state
        self.stopped_by: int | None = None

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """End."""
        self.stopped_by = sig if self.stopped_by is None else self.stopped_by
        self._state.feed.end()
        self.should_exit = True
        _ = frame


def page_app(state: PageState, token: str, port: int) -> App:
    """The application behind its guard."""
    staging = Staging()

    @asynccontextmanager
    async def lifespan(_app: Starlette) -> AsyncIterator[None]:
        watching = asyncio.create_task(_watch(state))
        try:
            yield
        finally:
            watching.cancel()
            staging.clear()

    app = Starlette(
        routes=[*_page_files(), *job_routes(state), *look_routes(state),
                *begin_routes(state, staging), *film_routes(state)],
        lifespan=lifespan,
        exception_handlers={
            InputProblem: _told_problem, NotWanted: _not_wanted, StaleEdit: _stale,
            NothingOpen: _nothing_open, TooLarge: _too_large, HTTPException: _plain_fault,
            Exception: _own_fault})
    return RequestGuard(app, token, port)


def _socket(port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((HOST, port))
    except OSError as fault:
        listening.close()
        raise InputProblem(where=f"port {port}", found=(fault.strerror or "an error").lower(),
                           would_do="another port, or none for any that is free,") from None
    listening.listen(128)
    return listening


def _page_files() -> list[Route]:
    """The page and its modules: what the folder holds, and nothing else."""
    folder = files("separations.uses.layout_page") / "page"
    kept = {one.name: one.read_bytes() for one in folder.iterdir()
            if Path(one.name).suffix in _KINDS}

    def route(path: str, name: str) -> Route:
        async def give(_request: Request) -> Response:
            return Response(kept[name], media_type=_KINDS[Path(name).suffix])

        return Route(path, give)

    return [route("/", "layout.html"), *(route(f"/{name}", name) for name in kept)]


def _warm(state: PageState) -> None:
    """Begin the first picture while the browser starts; what fails is told when it is asked."""
    with suppress(Exception):
        looks = state.looks
        looks.prepare_picture(looks.session)


async def _watch(state: PageState) -> None:
    """Look at the job file every now and then."""
    while True:
        await asyncio.sleep(_LOOK_EVERY_S)
        if state.is_open:
            with suppress(Exception):
                if await asyncio.to_thread(state.job.look_at_file):
                    await asyncio.to_thread(state.changed)
                    state.feed.tell("file")


async def _told_problem(_request: Request, fault: Exception) -> Response:
    assert isinstance(fault, InputProblem)
    return JSONResponse({"sentence": fault.sentence, "where": fault.where, "found": fault.found,
                         "wouldDo": fault.would_do}, status_code=422)


async def _not_wanted(_request: Request, _fault: Exception) -> Response:
    return Response(status_code=204)  # no fault: the page asks anew for the newest text


async def _stale(_request: Request, _fault: Exception) -> Response:
    return JSONResponse({"stale": True, "sentence": "The job was changed elsewhere meanwhile; "
                         "this change was not made. The page shows the job as it is now."},
                        status_code=409)


async def _nothing_open(_request: Request, _fault: Exception) -> Response:
    return JSONResponse({"open": False}, status_code=404)


async def _plain_fault(_request: Request, fault: Exception) -> Response:
    assert isinstance(fault, HTTPException)
    return PlainTextResponse("Nothing here.", status_code=fault.status_code)


async def _own_fault(_request: Request, fault: Exception) -> Response:
    return JSONResponse({"sentence": "The page's server failed through a fault of its own "
                         f"({type(fault).__name__}); the job is as it was. {kept_fault(fault)}"},
                        status_code=500)


async def _too_large(_request: Request, _fault: Exception) -> Response:
    return PlainTextResponse("That is more than the page sends.", status_code=413)
