"""The board and all that lies on it, as the page draws and moves it: lengths in board mm."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Any

import numpy as np
from shapely import get_num_coordinates
from shapely.geometry import MultiPolygon, Polygon

from preflight.board.area_mask import Area
from preflight.board.fittings import Fittings, disc
from preflight.facts.submission import ArtOnBoard
from preflight.input_problem import InputProblem
from preflight.job_file.drawn_consistency import is_drawing
from preflight.job_file.job import Job
from preflight.vector_art.drawn_art import DrawnArt
from separations.colour.display import shown_srgb, solid_srgb
from separations.pipeline.session import Session
from separations.pipeline.stage import Stage
from separations.pipeline.stages import (
    BOARD,
    DRAWINGS,
    LINES,
    LINES_PLACED,
    NOTES,
    PHOTOS_PLACED,
    TRACKS,
    WHOLE_MODEL,
)
from separations.planes.drawn_layout import first_note_order, track_order
from separations.planes.laid_out_job import Board
from separations.planes.seen_tracks import landmark_places
from separations.planes.track_layout import TrackWork
from separations.uses.layout_page.art_pages import art_pages
from separations.uses.layout_page.film_loupe import overprint_colours

#: How true outlines are sent (mm), and the most corners of one drawing; a fuller one is sent as
#: its frame alone, and seen in the picture.
_TRUE_MM, _MOST_CORNERS = 0.05, 30_000
_MOST_OVERPRINT_INKS = 8


def board_scene(session: Session) -> dict[str, Any]:
    """Everything of a job that the page draws itself, as plain values.

    What cannot be laid on the board, since a file is missing or broken, is left out and told in
    ``faults``, a sentence each.
    """
    faults: list[str] = []
    board = _made(session, BOARD, faults)
    if board is None:
        return {"board": None, "art": [], "drawn": [], "inks": [], "faults": faults}
    art: list[ArtOnBoard] = [*(_made(session, PHOTOS_PLACED, faults) or ()),
                             *(_made(session, LINES_PLACED, faults) or ())]
    drawings = _made(session, DRAWINGS, faults)
    tracks = _made(session, TRACKS, faults) if session.job.track else None
    drawn = [*(drawings[0] if drawings else ()), *(_made(session, LINES, faults) or ()),
             *(tracks.drawn if tracks else ()), *(_made(session, NOTES, faults) or ())]
    model = _made(session, WHOLE_MODEL, faults)
    job = session.job
    return {
        "board": _board(job, board),
        "art": [_art(one) for one in sorted(art, key=lambda one: one.order)],
        "drawn": [_drawn(one, job) for one in drawn],
        "landmarks": _landmarks(job, art, tracks),
        "pages": art_pages(session, faults),
        "inks": [] if model is None else [
            {"name": ink.name, "prints": ink.prints, "srgb": list(solid_srgb(model, number)),
             "angle": ink.angle.deg, "lpcm": job.ruling_of(ink).lpcm,
             "ruling": job.ruling_of(ink).written, "mesh": _mesh(job, number)}
            for number, ink in enumerate(job.ink)],
        "wood": None if model is None else list(shown_srgb(model.primaries_lab[0])),
        "overprints": overprint_colours(model) if model is not None
        and len(job.ink) <= _MOST_OVERPRINT_INKS else [],
        "film": {"dpi": job.film.resolution.dpi, "along": job.film.scale_along,
                 "across": job.film.scale_across},
        "faults": faults,
    }


def _made(session: Session, stage: Stage[Any], faults: list[str]) -> Any:
    try:
        return session.of(stage)
    except InputProblem as fault:
        if fault.sentence not in faults:
            faults.append(fault.sentence)
        return None


def _board(job: Job, board: Board) -> dict[str, Any]:
    area = board.area
    whole = area.printed if area.uncut is None else area.uncut
    return {
        "name": job.board.name, "stage": job.stage, "side": job.side,
        "trim": path_of(area.trim), "printed": path_of(area.printed), "bleed": path_of(whole),
        "safe": path_of(area.safe), "bounds": list(area.image_bounds),
        "trimBounds": list(area.trim.bounds),
        "hull": _points(whole.convex_hull.simplify(0.01).exterior.coords),
        **_fittings(board.fittings),
    }


def _fittings(fittings: Fittings) -> dict[str, Any]:
    return {
        "inserts": [{"foot": pack.foot, "hole": pack.hole_mm,
                     "holes": [path_of(disc(hole, pack.hole_mm)) for hole in pack.holes_mm],
                     "binding": path_of(pack.binding),
                     "clear": path_of(pack.clear) if pack.ink_off else ""}
                    for pack in fittings.inserts],
        "keepOuts": [{"name": one.name, "path": path_of(one.area), "off": one.ink_off,
                      "at": _middle(one.area)} for one in fittings.keep_outs],
        "important": [{"name": one.name, "path": path_of(one.area), "at": _middle(one.area)}
                      for one in fittings.important],
    }


def _art(art: ArtOnBoard) -> dict[str, Any]:
    placed, whole = art.placed, art.artwork.uncropped
    page = f" {whole.page} {whole.page_box}" if whole.page else (
        f" {whole.directory}" if whole.directory else "")
    return {"order": art.order, "file": art.table.file, "kind": art.table.kind,
            "ink": art.table.ink, "px": [placed.width_px, placed.height_px],
            "whole": [whole.width_px, whole.height_px],
            "ppi": placed.ppi, "fill": art.fill_reach_mm, "content": art.artwork.content + page,
            "matrix": [placed.xu, placed.yu, placed.xv, placed.yv, placed.x0, placed.y0]}


def _drawn(drawn: DrawnArt, job: Job) -> dict[str, Any]:
    first_line = len(job.art)
    first_track, first_note = track_order(job, 0), first_note_order(job)
    table, place = (("art", drawn.order) if drawn.order < first_line else
                    ("line", drawn.order - first_line) if drawn.order < first_track else
                    (drawn.kind, drawn.order - first_track) if drawn.order < first_note else
                    ("note", drawn.order - first_note))
    shown = {"table": table, "at": place, "kind": drawn.kind, "ink": drawn.ink,
             "subject": drawn.subject, "tint": drawn.tint,
             "bounds": [] if drawn.area.is_empty else list(drawn.area.bounds),
             "path": path_of(drawn.area)}
    if table == "note":
        note = job.note[place]
        shown |= {"point": [note.at[0].mm, note.at[1].mm], "label": list(note.label_mm),
                  "type": drawn.type_mm}
    elif table == "line":
        shown |= {"points": [[x.mm, y.mm] for x, y in job.line[place].points],
                  "smooth": job.line[place].smooth, "width": job.line[place].width.mm}
    elif table == "track":
        shown |= {"width": job.track[place].width.mm}
    elif table == "art" and is_drawing(job.art[place]) and not job.art[place].file:
        shown["path"] = ""  # a flat over all of the printed area is seen in the picture
    return shown


def _landmarks(job: Job, art: list[ArtOnBoard], tracks: TrackWork | None
               ) -> list[dict[str, Any]]:
    """Where landmarks are marked, and which of them disagrees with the others."""
    wrong = {camera.wrong for camera in tracks.cameras} if tracks else set()
    photos = [one for one in art if one.table.kind == "photo"]
    return [{"place": place, "at": [round(float(part), 3) for part in at],
             "wrong": place + 1 in wrong} for place, at in landmark_places(job, photos).items()]


def _mesh(job: Job, number: int) -> dict[str, float]:
    mesh = job.mesh_of(job.ink[number])
    return {"pitch": mesh.pitch_um, "thread": mesh.thread_um, "angle": mesh.angle_deg}


@lru_cache(maxsize=64)  # most shapes are the same after an edit
def path_of(area: Area) -> str:
    """An area as an SVG path in board mm; empty where it has too many corners to be sent."""
    if area.is_empty:
        return ""
    if get_num_coordinates(area) > 200:
        area = area.simplify(_TRUE_MM / 2)
    if get_num_coordinates(area) > _MOST_CORNERS:
        return ""
    parts = area.geoms if isinstance(area, MultiPolygon) else [area]
    return "".join(_ring(ring.coords) for part in parts if isinstance(part, Polygon)
                   for ring in (part.exterior, *part.interiors))


def _ring(coordinates: Iterable[Any]) -> str:
    points = np.round(np.array(coordinates)[:-1, :2], 2) + 0.0
    return "M" + "L".join(f"{x:g} {y:g}" for x, y in points.tolist()) + "Z"


def _points(coordinates: Iterable[Any]) -> list[list[float]]:
    return [[round(float(x), 3), round(float(y), 3)] for x, y, *_ in coordinates][:-1]


def _middle(area: Polygon) -> list[float]:
    point = area.representative_point()
    return [round(float(point.x), 2), round(float(point.y), 2)]
