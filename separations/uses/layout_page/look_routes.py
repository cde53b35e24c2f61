"""Requests for looks: the board's picture, pictures of its art, findings, ink and the loupe."""

from __future__ import annotations

import json
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from preflight.input_problem import InputProblem
from separations.uses.layout_page.page_state import PageState
from separations.uses.layout_page.shown_findings import finding_told, ink_told, mend_told
from separations.uses.layout_page.variants import VARIANT_KINDS, variants_of

_NOT_YET, _SMALL_PPI = 202, 14.0
_MOST_SIDE_PX = 4096


def look_routes(state: PageState) -> list[Route]:
    """The routes."""

    async def picture(request: Request) -> Response:
        return await run_in_threadpool(_picture, state, request)

    async def art(request: Request) -> Response:
        return await run_in_threadpool(_art, state, request)

    async def findings(request: Request) -> Response:
        return await run_in_threadpool(_findings, state, request)

    async def ink(_request: Request) -> Response:
        def need() -> dict[str, Any]:
            looks = state.looks
            return ink_told(looks.ink_need(looks.session), state.job.now().job.boards)

        return JSONResponse(await run_in_threadpool(need))

    async def loupe(request: Request) -> Response:
        return await run_in_threadpool(_loupe, state, request)

    async def variants(request: Request) -> Response:
        kind = _kind(request)
        return JSONResponse([{"label": one.label, "edits": list(one.edits)}
                             for one in variants_of(state.job.now().job, kind)])

    async def variant(request: Request) -> Response:
        return await run_in_threadpool(_variant, state, request)

    return [Route("/api/picture", picture), Route("/api/art", art),
            Route("/api/findings", findings), Route("/api/ink", ink), Route("/api/loupe", loupe),
            Route("/api/variants", variants), Route("/api/variant", variant)]


def number(request: Request, name: str, least: float, most: float) -> float:
    """A number that a request names, kept between two others.

    Raises
    ------
    InputProblem
        When it is none.
    """
    try:
        value = float(request.query_params[name])
    except (KeyError, ValueError):
        value = float("nan")
    if value != value:
        raise InputProblem(where="the page", found=f"no number for '{name}'",
                           would_do="a number")
    return min(max(value, least), most)


def _picture(state: PageState, request: Request) -> Response:
    from separations.uses.layout_page.job_looks import LEAST_PPI, MOST_PPI

    ppi = number(request, "ppi", LEAST_PPI, MOST_PPI)
    looks, of = state.looks, request.query_params.get("of", "")
    part = None
    if "part" in request.query_params:
        try:
            bounds = [float(word) for word in request.query_params["part"].split(",")]
        except ValueError:
            bounds = []
        if len(bounds) != 4 or not all(abs(bound) < 1e5 for bound in bounds):
            raise InputProblem(where="the page", found="no part of a board",
                               would_do="four lengths in mm")
        part = bounds[0], bounds[1], bounds[2], bounds[3]
    shown = state.job_shown(of)
    session = looks.session if shown is None else looks.session_on(shown)
    revision = looks.revision
    drawn = looks.picture(session, ppi, request.query_params.getlist("without"), part)
    place = {"left": drawn.left_x_mm, "top": drawn.top_y_mm, "pixel": drawn.pixel_mm,
             "revision": revision, "rows": drawn.rows, "columns": drawn.columns}
    return _pixels(drawn.pixels, place)


def _art(state: PageState, request: Request) -> Response:
    from separations.uses.layout_page.art_pictures import art_picture

    job = state.job.now().job
    order = int(number(request, "n", 0, 10_000))
    if order >= len(job.art):
        raise InputProblem(where="the page", found="no such art", would_do="art of the job")
    side = int(number(request, "side", 16, _MOST_SIDE_PX))
    rgba = art_picture(state.looks.session, order, side)
    return _pixels(rgba.tobytes(), {"rows": rgba.shape[0], "columns": rgba.shape[1]})


def _findings(state: PageState, _request: Request) -> Response:
    found = state.slow.found
    if found is None:
        return JSONResponse({"revision": 0, "pending": True, "findings": [], "mends": []})
    revision, now = found
    return JSONResponse({
        "revision": revision, "pending": now.pending,
        "findings": [finding_told(one) for one in now.findings],
        "mends": [mend_told(mend, now.job) for mend in now.mends]})


def _loupe(state: PageState, request: Request) -> Response:
    from separations.uses.layout_page.film_loupe import MOST_PIXELS

    looks, slow = state.looks, state.slow
    held = slow.dots
    if held is None or held[0] != looks.revision:
        slow.want_dots()
        return JSONResponse({"pending": True}, status_code=_NOT_YET)
    at = number(request, "x", -5000, 5000), number(request, "y", -5000, 5000)
    rows = int(number(request, "rows", 1, MOST_PIXELS))
    columns = int(number(request, "columns", 1, MOST_PIXELS))
    step = int(number(request, "step", 1, 64)) if "step" in request.query_params else 0
    if step:
        ink = int(number(request, "ink", 0, 11)) if "ink" in request.query_params else None
        if ink is not None and ink >= len(held[1].films):
            raise InputProblem(where="the page", found="no such ink", would_do="one of the job's")
        view = held[1].seen(at, rows, columns, step, ink)
    else:
        view = held[1].bits(at, rows, columns)
    place = {"rows": view.rows, "columns": view.columns, "row": view.first_row,
             "column": view.first_column}
    return _pixels(view.data, place)


def _pixels(data: bytes, place: dict[str, Any]) -> Response:
    return Response(data, media_type="application/octet-stream",
                    headers={"x-place": json.dumps(place)})


def _kind(request: Request) -> Any:
    kind = request.query_params.get("kind")
    if kind not in VARIANT_KINDS:
        raise InputProblem(where="the page", found="no kind of variant",
                           would_do=", ".join(VARIANT_KINDS))
    return kind


def _variant(state: PageState, request: Request) -> Response:
    from separations.uses.layout_page.edits import edited
    from separations.uses.layout_page.job_looks import small_board

    now = state.job.now()
    listed = variants_of(now.job, _kind(request))
    place = int(number(request, "n", 0, 1000))
    if place >= len(listed):
        raise InputProblem(where="the page", found="no such variant", would_do="one of the row")
    edits = listed[place].edits
    job = state.job.job_of(edited(now.text, list(edits))) if edits else now.job
    return Response(small_board(state.looks.session_on(job), _SMALL_PPI), media_type="image/png")
