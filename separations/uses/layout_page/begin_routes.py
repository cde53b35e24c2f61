"""Requests that hand over files: what is dropped on the page, and a job begun from them."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from preflight.input_problem import InputProblem
from separations.uses.layout_page.begun_job import (
    ENDS_AT_NOSE,
    Begun,
    begin_job,
    free_folder_name,
    usual_figures,
)
from separations.uses.layout_page.job_routes import message
from separations.uses.layout_page.page_state import PageState
from separations.uses.layout_page.received_files import facts_of, page_asked, plain_name, received


class Staging:
    """A folder of files received before there is a job; it goes with the server."""

    def __init__(self) -> None:
        self._folder: Path | None = None

    @property
    def folder(self) -> Path:
        """Its place, made at the first asking; this user's alone."""
        if self._folder is None:
            self._folder = Path(tempfile.mkdtemp(prefix="topsheet-begun-"))
        return self._folder

    def file(self, name: object) -> Path:
        """A file that was received; raises `InputProblem` for any other name."""
        known = {path.name: path for path in self.folder.iterdir()}
        if not isinstance(name, str) or name not in known:
            raise InputProblem(where="the page", found="a file that was not handed over",
                               would_do="a file dropped on the page")
        return known[name]

    def under_its_name(self, path: Path, name: str) -> Path:
        """The file in place of one of the same name that was handed over before."""
        return path.replace(self.folder / plain_name(name))

    def clear(self) -> None:
        """Remove what was received."""
        if self._folder is not None:
            shutil.rmtree(self._folder, ignore_errors=True)
            self._folder = None


def begin_routes(state: PageState, staging: Staging) -> list[Route]:
    """The routes."""

    async def files(request: Request) -> Response:
        folder = state.job.path.parent if state.is_open else staging.folder
        path = await received(request.stream(), folder, request.query_params.get("name", ""))
        if not state.is_open:
            path = staging.under_its_name(path, request.query_params.get("name", ""))
        return JSONResponse({"name": path.name, **await run_in_threadpool(facts_of, path)})

    async def outline(request: Request) -> Response:
        asked = await message(request)
        path = staging.file(asked.get("name"))
        return JSONResponse(await run_in_threadpool(
            lambda: facts_of(path, unit=asked.get("unit") or None,
                             nose=asked.get("nose") or None)))

    async def page(request: Request) -> Response:
        asked = await message(request)
        path = staging.file(asked.get("name"))
        return JSONResponse(await run_in_threadpool(
            lambda: facts_of(path, page=page_asked(asked))))

    async def usual(request: Request) -> Response:
        written = request.query_params.get("length", "")
        name = request.query_params.get("name", "")
        return JSONResponse({"figures": usual_figures(written) if written else usual_figures(),
                             "folder": free_folder_name(state.folder, name),
                             "within": str(state.folder)})

    async def begin(request: Request) -> Response:
        asked = await message(request)
        await run_in_threadpool(_begin, state, staging, asked)
        return JSONResponse({"begun": True})

    return [Route("/api/files", files, methods=["POST"]),
            Route("/api/outline", outline, methods=["POST"]),
            Route("/api/page", page, methods=["POST"]), Route("/api/usual", usual),
            Route("/api/begin", begin, methods=["POST"])]


def _begin(state: PageState, staging: Staging, asked: dict[str, Any]) -> None:
    photo = staging.file(asked.get("photo"))
    page = page_asked(asked)
    facts = facts_of(photo, page=page)
    if facts["kind"] not in ("picture", "page"):
        raise InputProblem(where=photo.name, found="no photograph",
                           would_do="a picture or a page of a PDF")
    board = {str(key): str(value) for key, value in (asked.get("board") or {}).items()}
    outline = staging.file(asked["outline"]) if asked.get("outline") else None
    if outline is not None:
        found = facts_of(outline, unit=board.get("outline_unit") or None,
                         nose=board.get("outline_nose") or None)
        if "outline" not in found:
            raise InputProblem(where=outline.name, found="no outline that can be used",
                               would_do=str(found.get("fault", "an outline")))
        size = found["outline"]["length"], found["outline"]["width"]
    else:
        size = _size_of(board)
    title = " ".join(str(asked.get("title") or "").split())[:100] or photo.stem
    job = begin_job(Begun(
        name=str(asked.get("folder") or title), title=title, photo=photo,
        turn=_turn(asked.get("turn"), facts["px"]), outline=outline, board=board, size_mm=size,
        page=page.number if facts.get("pages", 1) > 1 else None,
        page_box=page.boundary if facts["kind"] == "page" else ""),
        state.folder)
    state.open(job)
    staging.clear()


def _turn(asked: Any, px: Sequence[int]) -> int:
    """How the photograph lies: as it is asked, or along the board."""
    if isinstance(asked, int) and asked in ENDS_AT_NOSE:
        return asked
    return 90 if px[0] > px[1] else 0


def _size_of(board: dict[str, str]) -> tuple[float, float]:
    from preflight.units import UnitFault, length

    try:
        return length(board.get("length", "")).mm, length(board.get("nose_width", "")).mm
    except UnitFault as fault:
        raise InputProblem(where="the board's figures", found="a figure that is no length",
                           would_do=str(fault)) from None
