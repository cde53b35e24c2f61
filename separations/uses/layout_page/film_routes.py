"""Requests about films: making them, stopping that, and what a run made."""

from __future__ import annotations

import hmac
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from preflight.files.output_list import listed_files
from separations.uses.layout_page.job_routes import message
from separations.uses.layout_page.page_state import PageState


def film_routes(state: PageState) -> list[Route]:
    """The routes."""

    async def films(request: Request) -> Response:
        asked = await message(request)
        if asked.get("stop"):
            state.films.stop()
            return JSONResponse({"stopping": True})
        await run_in_threadpool(state.job.save)
        await run_in_threadpool(state.changed)
        state.films.start(despite_stops=asked.get("despite") is True)
        return JSONResponse({"started": True})

    async def made(_request: Request) -> Response:
        out = state.films.out
        names = await run_in_threadpool(listed_files, out) if out.is_dir() else []
        return JSONResponse({"folder": str(out.resolve()), "files": [
            {"name": name, "link": f"/made/{state.made_key}/{quote(name)}"} for name in names]})

    async def one_made(request: Request) -> Response:
        if not hmac.compare_digest(request.path_params["key"].encode(), state.made_key.encode()):
            return Response(status_code=404)
        name, out = request.path_params["name"], state.films.out
        # What lies behind a link may be anything.
        if name not in listed_files(out) or (out / name).resolve() != out.resolve() / name:
            return Response(status_code=404)
        return FileResponse(out / name)

    return [Route("/api/films", films, methods=["POST"]), Route("/api/made", made),
            Route("/made/{key}/{name:path}", one_made)]
