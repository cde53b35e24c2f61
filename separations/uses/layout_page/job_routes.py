"""Requests about the job's text: what it is, edits, taking back, saving, and news."""

from __future__ import annotations

import datetime
import json
import tomllib
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from preflight.input_problem import InputProblem
from preflight.job_file.photo_values import RENDERINGS
from separations.uses.layout_page.open_job import JobNow
from separations.uses.layout_page.page_state import PageState

_MOST_TOLD = 200


def job_routes(state: PageState) -> list[Route]:
    """The routes."""

    async def show(request: Request) -> Response:
        if not state.is_open:
            return JSONResponse({"open": False})
        known = request.query_params.get("known", "")
        return JSONResponse(await run_in_threadpool(_told, state, state.job.now(), known))

    async def edit(request: Request) -> Response:
        asked = await message(request)
        edits, base = asked.get("edits"), asked.get("base")
        told = str(asked.get("told") or "an edit")[:_MOST_TOLD]
        if not isinstance(edits, list) or not isinstance(base, int):
            raise InputProblem(where="the page", found="no edits", would_do="a list of edits")
        await run_in_threadpool(state.job.edit, edits, told, base)
        return await _after(state, asked)

    async def move(request: Request) -> Response:
        asked = await message(request)
        await run_in_threadpool(state.job.move, -1 if asked.get("by") == -1 else 1)
        return await _after(state, asked)

    async def save(request: Request) -> Response:
        asked = await message(request)
        await run_in_threadpool(state.job.save)
        return await _after(state, asked)

    async def settle(request: Request) -> Response:
        asked = await message(request)
        await run_in_threadpool(state.job.settle,
                                "theirs" if asked.get("choice") == "theirs" else "mine")
        return await _after(state, asked)

    async def news(_request: Request) -> Response:
        return StreamingResponse(state.feed.lines(), media_type="application/x-ndjson")

    return [Route("/api/job", show), Route("/api/edit", edit, methods=["POST"]),
            Route("/api/move", move, methods=["POST"]), Route("/api/save", save, methods=["POST"]),
            Route("/api/settle", settle, methods=["POST"]), Route("/api/news", news)]


async def message(request: Request) -> dict[str, Any]:
    """A request's message: a JSON object.

    Raises
    ------
    InputProblem
        When it is none.
    """
    body = await request.body()
    try:
        asked = json.loads(body)
    except (ValueError, RecursionError):
        asked = None
    if not isinstance(asked, dict):
        raise InputProblem(where="the page", found="a message of no known kind",
                           would_do="a JSON object")
    return asked


async def _after(state: PageState, asked: dict[str, Any]) -> Response:
    now = await run_in_threadpool(state.changed)
    return JSONResponse(await run_in_threadpool(_told, state, now, str(asked.get("known", ""))))


def _told(state: PageState, now: JobNow, known: str) -> dict[str, Any]:
    """The job as the page needs it; of the scene only what the page does not know yet."""
    from separations.pipeline.kept_results import digest_of
    from separations.uses.layout_page.board_scene import board_scene

    scene = board_scene(state.looks.session_on(now.job))
    digest = digest_of(json.dumps(scene["board"]))
    if digest == known:
        del scene["board"]
    return {
        "open": True, "revision": now.revision, "file": state.job.path.name,
        "folder": str(state.job.path.parent.resolve()), "unsaved": now.unsaved,
        "undoes": now.undoes, "redoes": now.redoes, "otherHand": now.other_hand,
        "remark": now.remark, "document": plain(tomllib.loads(now.text)), "scene": scene,
        "boardDigest": digest, "beside": state.jobs_beside(),
        "renderings": list(RENDERINGS),
        "films": {"state": state.films.now.state, "says": state.films.now.says,
                  "share": state.films.now.share},
    }


def plain(value: Any) -> Any:
    """A TOML value as JSON has it: dates as texts."""
    if isinstance(value, dict):
        return {key: plain(part) for key, part in value.items()}
    if isinstance(value, list):
        return [plain(part) for part in value]
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    return value
