"""GPX 1.1 files: the recorded points of their tracks, and nothing else of them."""

from __future__ import annotations

import math
from pathlib import Path
from xml.etree.ElementTree import Element, ParseError

import numpy as np
from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import fromstring, tostring

from preflight.files.regular_files import bytes_of
from preflight.input_problem import InputProblem
from preflight.nouns import counted
from preflight.tracks.track_points import FloatArray, TrackPoints

_MOST_BYTES = 30_000_000
#: Own rules, no source: more than a day of a point each second; land, and what flies over it.
_MOST_POINTS = 100_000
_LOWEST_M, _HIGHEST_M = -1000.0, 20_000.0
_WOULD_DO = "a track in GPX 1.1, at most 30 MB,"
_SPACE = "{http://www.topografix.com/GPX/1/1}"


def read_gpx(path: Path, number: int | None = None) -> TrackPoints:
    """Read the points of a GPX file's tracks; names, remarks and links are left unread.

    Parameters
    ----------
    path : Path
        The file.
    number : int, optional
        Which of its tracks, from 1; None for all of them, one after another.

    Raises
    ------
    InputProblem
        When it cannot be read, is no GPX 1.1, declares entities, has no such track, or a point of
        it has no place on the earth.

    Notes
    -----
    Source: GPX 1.1 schema (topografix.com/GPX/1/1): ``trk`` holds ``trkseg``, these ``trkpt`` with
    ``lat`` and ``lon`` in degrees of WGS 84, ``ele`` in metres and ``time`` in UTC.
    """
    import gpxpy
    from gpxpy.gpx import GPXException

    root = _bounded_root(path)
    try:
        gpx = gpxpy.parse(tostring(root, encoding="unicode"), version="1.1")
    except (GPXException, ValueError, OverflowError, TypeError):
        raise InputProblem(where=str(path), found="a track that cannot be read",
                           would_do=_WOULD_DO) from None
    tracks = gpx.tracks
    if not tracks or (number is not None and number > len(tracks)):
        found = counted(len(tracks), "track") if tracks else "no recorded track"
        raise InputProblem(where=str(path), found=found,
                           would_do=_WOULD_DO if not tracks else f"a number up to {len(tracks)}")
    chosen = tracks if number is None else [tracks[number - 1]]
    stretches = [stretch.points for track in chosen for stretch in track.segments]
    rows = [(p.latitude, p.longitude, math.nan if p.elevation is None else p.elevation,
             math.nan if p.time is None else p.time.timestamp(), place)
            for place, points in enumerate(stretches) for p in points]
    table = np.array(rows, np.float64).reshape(-1, 5)
    _check_places(table, path)
    return TrackPoints(
        latitude_deg=table[:, 0], longitude_deg=table[:, 1], height_m=table[:, 2],
        seconds=table[:, 3], stretch=table[:, 4].astype(np.int64),
        number=np.arange(1, len(table) + 1))


def _bounded_root(path: Path) -> Element:
    """The file's tree with what is read of it alone, so that nothing else reaches a parser."""
    raw = bytes_of(path, _MOST_BYTES, would_do=_WOULD_DO)
    try:
        root: Element = fromstring(raw, forbid_dtd=True, forbid_entities=True,
                                   forbid_external=True)
    except DefusedXmlException:
        raise InputProblem(where=str(path), found="a document type or entities",
                           would_do="a plain GPX 1.1 without them") from None
    except (ParseError, ValueError, LookupError, RecursionError):
        raise InputProblem(where=str(path), found="XML that is not well formed",
                           would_do=_WOULD_DO) from None
    if root.tag != f"{_SPACE}gpx":
        name = root.tag.rpartition("}")[2][:40]
        found = ("GPX of another version than 1.1" if name == "gpx"
                 else f"XML that begins with <{name}>")
        raise InputProblem(where=str(path), found=found, would_do=_WOULD_DO)
    bare = Element("gpx", {"version": "1.1", "creator": "-"})
    bare.extend(_bare(track, ("trkseg",)) for track in root.findall(f"{_SPACE}trk"))
    count = sum(1 for _ in bare.iter("trkpt"))
    if count > _MOST_POINTS:
        raise InputProblem(where=str(path), found=f"{count} points",
                           would_do=f"a track of at most {_MOST_POINTS} points")
    return bare


_HOLDS: dict[str, tuple[str, ...]] = {"trkseg": ("trkpt",), "trkpt": ("ele", "time")}


def _bare(element: Element, holds: tuple[str, ...]) -> Element:
    """An element without its namespace and what is not read of it."""
    name = element.tag.removeprefix(_SPACE)
    bare = Element(name)
    for key in ("lat", "lon"):
        if key in element.attrib:
            bare.set(key, element.attrib[key])
    bare.text = element.text
    for part in element:
        own = part.tag.removeprefix(_SPACE) if isinstance(part.tag, str) else ""
        if own in holds:
            bare.append(_bare(part, _HOLDS.get(own, ())))
    return bare


def _check_places(table: FloatArray, path: Path) -> None:
    if len(table) < 2:
        raise InputProblem(where=str(path), found=f"{counted(len(table), 'point')} in its track",
                           would_do="a track of two points or more")
    sound = (np.abs(table[:, 0]) < 90) & (np.abs(table[:, 1]) <= 180) & (
        np.isnan(table[:, 2]) | ((table[:, 2] > _LOWEST_M) & (table[:, 2] < _HIGHEST_M)))
    if not sound.all():
        raise InputProblem(
            where=str(path), found=f"point {int(np.argmin(sound)) + 1}, which lies nowhere on "
            "earth",
            would_do="latitudes below 90°, longitudes up to 180° and heights in metres")
